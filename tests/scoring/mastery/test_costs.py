"""What reshoots cost: gathered by cause, honest where there are few, and what that weighs on drills."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.mastery.costs import (
    EVEN_WORTH,
    WEIGHT_MOST,
    by_cause,
    drill_weights,
    mean_interval,
    poisson_interval,
    rate,
    total_interval,
)

SKILLS = {"F1": ("B1",), "F5": ("A1",), "F15": ("C1", "C4"), "D2": ("D2",), "other": ()}
ROWS = st.lists(
    st.tuples(st.sampled_from(sorted(SKILLS)), st.integers(0, 10**8).map(lambda cents: cents / 100)), max_size=40
)


def test_the_dearest_cause_comes_first_with_its_figures() -> None:
    found = by_cause([("F1", 40.0), ("F5", 300.0), ("F1", 60.0)])
    assert [(one.cause, one.count, one.total, one.mean) for one in found] == [
        ("F5", 1, 300.0, 300.0),
        ("F1", 2, 100.0, 50.0),
    ]
    assert (found[1].least, found[1].most) == (40.0, 60.0)
    assert all(one.total_low < one.total < one.total_high for one in found)


def test_a_mean_of_few_has_no_interval() -> None:
    assert mean_interval([50.0, 60.0, 70.0, 80.0]) is None
    low, high = mean_interval([0.0, 0.0, 0.0, 0.0, 500.0]) or (None, None)
    assert low == 0.0
    assert high is not None
    assert high > 100.0


def test_nothing_counted_still_leaves_an_upper_bound_per_100_jobs() -> None:
    found = rate(0, 60)
    assert found is not None
    assert (found.per_100, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(6.148, abs=0.001)
    assert rate(3, 0) is None


def test_what_is_no_count_or_cost_is_refused() -> None:
    with pytest.raises(ValueError, match="no count"):
        poisson_interval(-1)
    with pytest.raises(ValueError, match="not below zero"):
        total_interval([5.0, -1.0])
    assert total_interval([]) == (0.0, 0.0)


@pytest.mark.parametrize(("mean_count", "log_sd"), [(3, 0.4), (3, 0.7), (10, 0.4), (10, 0.7), (30, 0.7)])
def test_the_interval_of_a_total_holds_the_truth_as_often_as_it_says(mean_count: int, log_sd: float) -> None:
    """Costs that differ by a factor of two to four from one to the next are held in nine and more of ten samples."""
    rng = np.random.default_rng(20260301)
    truth = mean_count * np.exp(log_sd**2 / 2)
    held = trials = 0
    for _ in range(2000):
        costs = rng.lognormal(0.0, log_sd, rng.poisson(mean_count)).tolist()
        if costs:
            low, high = total_interval(costs)
            held += low <= truth <= high
            trials += 1
    assert held / trials >= 0.92


def test_the_weight_is_the_stated_formula() -> None:
    rows = [("F1", 300.0)] * 10 + [("F15", 100.0)] * 10
    trust = 20 / (20 + EVEN_WORTH)
    extra = WEIGHT_MOST - 1.0
    assert drill_weights(rows, SKILLS) == {
        "B1": pytest.approx(1.0 + extra * 0.75 * trust),
        "C1": pytest.approx(1.0 + extra * 0.125 * trust),
        "C4": pytest.approx(1.0 + extra * 0.125 * trust),
    }


def test_one_reshoot_moves_a_weight_little_and_many_tend_to_the_most() -> None:
    assert drill_weights([("F1", 100.0)], SKILLS)["B1"] < 1.1
    assert drill_weights([("F1", 100.0)] * 2000, SKILLS)["B1"] == pytest.approx(WEIGHT_MOST, abs=0.03)


def test_where_nothing_cost_anything_counts_stand_for_costs() -> None:
    free = drill_weights([("F1", 0.0), ("F1", 0.0), ("F5", 0.0)], SKILLS)
    assert free["B1"] - 1.0 == pytest.approx(2.0 * (free["A1"] - 1.0))


@settings(deadline=None)
@given(rows=ROWS)
def test_weights_are_bounded_and_their_order_is_that_of_the_costs(rows: list[tuple[str, float]]) -> None:
    weights = drill_weights(rows, SKILLS)
    assert all(1.0 < weight <= WEIGHT_MOST for weight in weights.values())
    assert drill_weights(rows[::-1], SKILLS) == weights


@settings(deadline=None)
@given(rows=ROWS)
def test_money_in_another_unit_gives_the_same_weights(rows: list[tuple[str, float]]) -> None:
    scaled = drill_weights([(cause, 4.0 * cost) for cause, cost in rows], SKILLS)
    assert scaled == pytest.approx(drill_weights(rows, SKILLS))
