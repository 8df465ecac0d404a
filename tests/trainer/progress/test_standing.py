"""Where a person stands: figures from one's own evidence alone, the same again on the same day, lower after idling."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from trainer.progress.catch_up import catch_up
from trainer.progress.standing import figures_of, standard_set

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, tzinfo=UTC)


def test_nothing_answered_leaves_every_figure_wide(three: Any) -> None:
    found = figures_of(three.insider, NOW)
    assert found.overall.count == 0
    assert set(found.skills) == set(standard_set().skills)
    assert all(figure.high - figure.low > 40.0 for figure in found.skills.values())
    assert found.overall.low < found.overall.score < found.overall.high


def test_good_answers_raise_ones_own_figure_and_nobody_elses(three: Any, graded_row: Callable[..., Any]) -> None:
    before = figures_of(three.mate, NOW)
    for _ in range(5):
        graded_row(three.insider, {"D1": 1.0, "D2": 1.0})
    catch_up()
    assert figures_of(three.insider, NOW).overall.score > before.overall.score
    assert figures_of(three.mate, NOW) == before
    mine = figures_of(three.insider, NOW).skills
    assert mine["D1"].count == 5
    assert mine["D1"].score > mine["V3"].score


def test_it_is_the_same_again_and_lower_after_idle_months(three: Any, graded_row: Callable[..., Any]) -> None:
    for _ in range(8):
        graded_row(three.insider, {"D1": 1.0})
    catch_up()
    today = figures_of(three.insider, NOW)
    assert figures_of(three.insider, NOW) == today
    later = figures_of(three.insider, NOW + timedelta(days=400))
    assert later.skills["D1"].score < today.skills["D1"].score
