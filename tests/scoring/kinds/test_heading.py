"""Heading: what one raw heading shows, and the side on which it differs from a clean one."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError, Unfit
from scoring.kinds.causes import choice_of
from scoring.kinds.heading import ONE_SIDED, SIDES, STATES, offside, side_of
from tests.scoring.kinds.looked_at import known, signed, task
from tests.scoring.kinds.shipped import graded, like

ASKS = {
    "choices": [
        {"name": "state", "legend": "What?", "options": [list(one) for one in STATES.items()]},
        {"name": "side", "legend": "Where?", "options": [list(one) for one in SIDES.items()]},
    ]
}


def made(code: str, side: str) -> Any:
    return task("heading", ASKS, of=known(code), key={"side": side, "heading": 1}, skills=("B3", "B4"))


def picture(side: str, size: int = 64) -> np.ndarray:
    out = np.zeros((size, size, 3), np.uint8)
    quarter = size // 4
    middle = slice(size // 2 - 6, size // 2 + 6)
    where = {
        "left": (middle, slice(2, quarter)), "right": (middle, slice(size - quarter, size - 2)),
        "top": (slice(2, quarter), middle), "bottom": (slice(size - quarter, size - 2), middle),
    }[side]  # fmt: skip
    out[where] = 200
    return out


@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_the_side_is_where_the_picture_differs(side: str) -> None:
    found = offside(picture(side), np.zeros((64, 64, 3), np.uint8))
    assert side_of(found) == side
    assert found.lean > 0.5


def test_a_side_between_two_is_no_fair_case() -> None:
    both = np.maximum(picture("left"), picture("top"))
    with pytest.raises(Unfit, match="between two sides"):
        side_of(offside(both, np.zeros((64, 64, 3), np.uint8)))
    assert offside(both, both).lean == 0.0


@pytest.mark.parametrize("code", ["N0", "F9", "F10"])
def test_one_heading_is_told_by_what_it_shows_alone_and_no_seam_is_named(code: str) -> None:
    """The merged frame of a lens that is off is doubled at its seams, which one heading has none of."""
    of = signed(known(code, 1), 1)
    of = replace(of, numbers=replace(of.numbers, doubling_deg=0.1 if code == "N0" else 2.0, veil_share=0.02))
    if code == "F9":
        of = replace(of, numbers=replace(of.numbers, crescent_share=0.05))
    if code == "F10":
        of = replace(of, numbers=replace(of.numbers, veil_share=0.3))
    one = task("heading", ASKS, of=of, key={"side": "none", "heading": 1}, skills=("B3", "B4"))
    for state in STATES:
        grade = graded(one, {"state": state, "side": "left"})
        said = " ".join([grade.summary, *(f"{mark.title} {mark.words} {mark.mend}" for mark in grade.marks)])
        assert "seam" not in said
        assert "doubl" not in said
        assert not any(spot.frame == "frame" and of.numbers.doubling_deg == 2.0 for spot in grade.spots)


@pytest.mark.parametrize("code", [*(code for code in STATES if code != "N0"), "N0", "N1"])
def test_state_and_side_earn_everything(code: str) -> None:
    side = "top" if code in ONE_SIDED else "none"
    grade = graded(made(code, side), {"state": choice_of(code), "side": side})
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")
    wrong = graded(made(code, side), {"state": choice_of(code), "side": "left"})
    assert (wrong.credit, wrong.verdict) == (pytest.approx(0.7), "look-again")


@settings(max_examples=60, deadline=None)
@given(like("state", "side"))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(made("F9", "left"), answer).credit <= 1.0
