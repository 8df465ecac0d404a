"""Where a person stands: figures from one's own evidence alone, the same again on the same day, lower after idling."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from trainer.progress.catch_up import catch_up
from trainer.progress.standing import standard_set, standing_of

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, tzinfo=UTC)


def test_nothing_answered_says_that_there_is_not_enough_evidence(three: Any) -> None:
    found = standing_of(three.insider, NOW)
    assert found.call == "not enough evidence"
    assert found.overall.count == 0
    assert {row.code for row in found.skills} == set(standard_set().skills)
    assert found.overall.low < found.overall.score < found.overall.high


def test_good_answers_raise_ones_own_figure_and_nobody_elses(three: Any, graded_row: Callable[..., Any]) -> None:
    before = standing_of(three.mate, NOW)
    for _ in range(5):
        graded_row(three.insider, {"D1": 1.0, "D2": 1.0})
    catch_up()
    assert standing_of(three.insider, NOW).overall.score > before.overall.score
    assert standing_of(three.mate, NOW) == before
    mine = {row.code: row for row in standing_of(three.insider, NOW).skills}
    assert mine["D1"].figure.count == 5
    assert mine["D1"].figure.score > mine["V3"].figure.score


def test_it_is_the_same_again_and_lower_after_idle_months(three: Any, graded_row: Callable[..., Any]) -> None:
    for _ in range(8):
        graded_row(three.insider, {"D1": 1.0})
    catch_up()
    today = standing_of(three.insider, NOW)
    assert standing_of(three.insider, NOW) == today
    later = standing_of(three.insider, NOW + timedelta(days=400))
    assert {r.code: r.figure.score for r in later.skills}["D1"] < {r.code: r.figure.score for r in today.skills}["D1"]
