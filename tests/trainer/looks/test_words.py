"""Findings in words: the number, how sure, the limits of the house standard, and never a verdict past them."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from scoring.frame.blind import metadata, sphere
from scoring.standard import FrameBands
from trainer.looks.words import REMARKS, WHY, Row, rows

UNTOLD: dict[str, Any] = {
    key: {"what": key, "why": "flat", "traces": []}
    for key in ("tilt", "seams", "sectors", "sharpness", "veil", "clipping", "metadata")
}


def row(key: str, **found: Any) -> Row:
    return next(one for one in rows({**UNTOLD, key: found}, FrameBands()) if one.key == key)


def test_every_reason_and_remark_has_words() -> None:
    assert set(get_args(sphere.Why)) == set(WHY)
    assert set(get_args(metadata.Fault)) == set(REMARKS)


def test_what_cannot_be_told_says_so() -> None:
    assert {one.word for one in rows(UNTOLD, FrameBands())} == {"Cannot tell"}


@pytest.mark.parametrize(
    ("tilt_deg", "uncertainty_deg", "state"),
    [(0.2, 0.05, "keep"), (0.45, 0.05, "near"), (0.7, 0.05, "either"), (0.97, 0.05, "near"), (2.0, 0.1, "redo")],
)
def test_a_tilt_is_judged_only_as_far_as_it_is_known(tilt_deg: float, uncertainty_deg: float, state: str) -> None:
    said = row("tilt", tilt_deg=tilt_deg, towards_deg=-40.0, uncertainty_deg=uncertainty_deg, edges=900, traces=[])
    assert said.state == state
    assert said.limit == "keep under 0.5°, take again from 1°"
    assert f"{tilt_deg:.1f}°" in said.value


def test_a_veil_over_the_limit_is_told_and_never_called_a_fault() -> None:
    said = row("veil", at_most_percent=14.0, uncertainty_percent=0.3, traces=[])
    assert said.state == "told"
    assert "only if the darkest spot is really black" in said.words[0]
    assert row("veil", at_most_percent=1.0, uncertainty_percent=0.3, traces=[]).state == "keep"


def test_none_found_is_not_told_of_a_look_that_was_kept_when_it_was() -> None:
    said = row("seams", worst_deg=0.0, uncertainty_deg=0.05, least_deg=0.26, doubles=[], traces=[])
    assert said.state == "cannot-tell"
    assert "says nothing" in said.words[0]


def test_a_gap_and_a_copy_are_named_with_their_width() -> None:
    said = row("sectors", gaps_deg=[60.0], copies_deg=[55.0], apart_deg=[60.0], uncertainty_deg=0.4, traces=[])
    assert (said.state, said.value) == ("redo", "60° missing, at least 55° seen twice")


def test_sharpness_below_what_pixels_allow_is_not_held_against_the_frame() -> None:
    found = {"softest_deg": 0.5, "softest_azimuth_deg": 10.0, "softest_elevation_deg": 0.0, "regions": [], "traces": []}
    said = row("sharpness", spread_deg=0.4, uncertainty_deg=0.01, pixel_deg=0.35, **found)
    assert said.state == "told"
    assert "as sharp as the pixels allow" in said.words[0]
