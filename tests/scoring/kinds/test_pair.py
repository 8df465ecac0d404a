"""Pair: one of two look-alikes; the other one earns nothing for the cause."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.frame.lookalikes import between
from scoring.kinds.causes import CAUSES, PAIRS
from scoring.kinds.frame_grade import asked, cues_for
from tests.scoring.kinds.looked_at import known, task
from tests.scoring.kinds.shipped import graded, like


def made(code: str, pair: tuple[str, str]) -> Any:
    of = known(code)
    return task("pair", {"choices": asked("Which of the two?", pair, cues_for(pair, of.cue))}, of=of)


@pytest.mark.parametrize("pair", PAIRS)
def test_the_right_one_earns_everything_and_the_other_nothing_for_the_cause(pair: tuple[str, str]) -> None:
    for code, other in (pair, pair[::-1]):
        one = made(code, pair)
        cue = one.key["known"]["cue"]
        assert graded(one, {"cause": code, "cue": cue}).credit == pytest.approx(1.0)
        wrong = graded(one, {"cause": other, "cue": cue})
        assert (wrong.credit, wrong.verdict) == (pytest.approx(0.2), "fails")


@pytest.mark.parametrize("pair", PAIRS)
def test_a_wrong_choice_is_told_what_tells_the_two_apart(pair: tuple[str, str]) -> None:
    code, other = pair
    one = made(code, pair)
    mark = graded(one, {"cause": other, "cue": one.key["known"]["cue"]}).marks[0]
    assert CAUSES[other].title[1:] in mark.mend
    if told := between(code, other):
        assert told[0][0].ask.rstrip("?") in mark.mend


@settings(max_examples=60, deadline=None)
@given(like("cause", "cue"))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(made("F1", ("F1", "F2")), answer).credit <= 1.0
