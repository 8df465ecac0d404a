"""The days of a plan: three and fourteen days before the goal, earlier ones apart by a share of the way."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.progress.sittings import CASES_EACH, due_by, sittings

GIVEN = date(2027, 1, 4)


def test_a_short_plan_is_met_fourteen_and_three_days_before() -> None:
    assert sittings(GIVEN, date(2027, 3, 1), 10) == (date(2027, 2, 15), date(2027, 2, 26))


def test_a_longer_plan_begins_earlier_by_a_tenth_to_a_fifth_of_the_way() -> None:
    days = sittings(GIVEN, date(2027, 3, 1), 4 * CASES_EACH)
    assert len(days) == 4
    way = (date(2027, 3, 1) - GIVEN).days
    gaps = [(later - sooner).days for sooner, later in pairwise(days)]
    assert all(0.1 * way <= gap <= 0.2 * way for gap in gaps)


@pytest.mark.parametrize(("days", "count"), [(1, 1), (3, 1), (4, 2), (10, 2), (14, 2)])
def test_a_near_goal_begins_at_once(days: int, count: int) -> None:
    found = sittings(GIVEN, GIVEN + timedelta(days=days), 6)
    assert found[0] == GIVEN
    assert len(found) == count


@settings(deadline=None)
@given(way=st.integers(1, 365), cases=st.integers(1, 60))
def test_sittings_lie_between_and_everything_is_due_by_the_last(way: int, cases: int) -> None:
    goal = GIVEN + timedelta(days=way)
    days = sittings(GIVEN, goal, cases)
    assert list(days) == sorted(set(days))
    assert days[0] >= GIVEN
    assert days[-1] < goal
    told = [due_by(GIVEN + timedelta(days=day), days, cases) for day in range(way + 1)]
    assert told == sorted(told)
    assert told[-1] == cases
