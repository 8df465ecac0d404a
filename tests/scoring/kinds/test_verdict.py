"""Verdict: what the measured numbers deserve; both are right in between, and a false alarm costs too."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.frame.severity import Numbers
from scoring.kinds.verdict import VERDICTS
from tests.scoring.kinds.looked_at import ALL_CODES, known, severity, task
from tests.scoring.kinds.shipped import graded, like, stored, tasks

ASKS = {"choices": [{"name": "verdict", "legend": "Keep?", "options": [list(one) for one in VERDICTS.items()]}]}


@pytest.mark.parametrize("code", ALL_CODES)
def test_the_numbers_decide(code: str) -> None:
    one = task("verdict", ASKS, of=known(code), skills=("V1",))
    right = severity(known(code))
    assert graded(one, {"verdict": right}).credit == 1.0
    wrong = graded(one, {"verdict": "keep" if right == "redo" else "redo"})
    assert (wrong.credit, wrong.verdict) == (0.0, "fails")
    assert wrong.marks[0].mend


def test_what_was_put_in_has_no_say() -> None:
    of = replace(known("F1"), numbers=Numbers())
    assert graded(task("verdict", ASKS, of=of), {"verdict": "keep"}).credit == 1.0


@settings(max_examples=60, deadline=None)
@given(like("verdict"))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task("verdict", ASKS, of=known("F4")), answer).credit <= 1.0


def test_a_shipped_recipe_makes_a_frame_that_deserves_one_verdict() -> None:
    (one,) = tasks("verdict-one-bedroom", 1)
    credits = {said: graded(one, {"verdict": said}).credit for said in VERDICTS}
    assert sorted(credits.values()) == [0.0, 1.0]
    right = max(credits, key=credits.__getitem__)
    assert graded(stored(one), {"verdict": right}) == graded(one, {"verdict": right})
    assert one.guess_floor == pytest.approx(0.6)
    assert "code" not in str(one.public)
