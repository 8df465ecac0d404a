"""Intervals of counts, totals and means against printed output of other programs and an independent library.

Weighted sum: the worked example of Fay and Feuer 1997 (Down's syndrome by age of the mother, fifth and later births,
Michigan 1950-1964), as the R package dsrTest prints it [read]. Count of 5: R's qgamma, as printed on the R-help list,
12 September 2005 [read]. Mean: 75 heights, example 4.9 of the SAS procedure UNIVARIATE [read].
"""

from __future__ import annotations

import pytest
from scipy import stats

from scoring.mastery.costs import MEAN_FROM, mean_interval, poisson_interval, total_interval

CASES = (0, 8, 63, 112, 262, 295)
BIRTHS = (327, 30666, 123419, 149919, 104088, 34392)
STANDARD = (319933, 931318, 786511, 488235, 237863, 61313)
HEIGHTS = """
    64.1 60.9 64.1 64.7 66.7 65.0 63.7 67.4 64.9 63.7 64.0 67.5 62.8 63.9 65.9 62.3 64.1 60.6 68.6 68.6
    63.7 63.0 64.7 68.2 66.7 62.8 64.0 64.1 62.1 62.9 62.7 60.9 61.6 64.6 65.7 66.6 66.7 66.0 68.5 64.4
    60.5 63.0 60.0 61.6 64.3 60.2 63.5 64.7 66.0 65.1 63.6 62.0 63.6 65.8 66.0 65.4 63.5 66.3 66.2 67.5
    65.8 63.1 65.8 64.4 64.0 64.9 65.7 61.0 64.1 65.5 68.6 66.6 65.7 65.1 70.0
"""


def test_a_count_of_five_has_the_printed_limits() -> None:
    assert poisson_interval(5) == (pytest.approx(1.623486, abs=1e-6), pytest.approx(11.66833, abs=1e-5))


@pytest.mark.parametrize("count", [0, 1, 2, 7, 30, 400])
@pytest.mark.parametrize("confidence", [0.9, 0.95, 0.99])
def test_limits_of_a_count_leave_half_of_the_rest_on_each_side(count: int, confidence: float) -> None:
    low, high = poisson_interval(count, confidence=confidence)
    tail = (1.0 - confidence) / 2.0
    assert stats.poisson.cdf(count, high) == pytest.approx(tail)
    assert (low == 0.0) if count == 0 else stats.poisson.sf(count - 1, low) == pytest.approx(tail)


def test_a_weighted_sum_has_the_limits_that_are_printed_for_the_worked_example() -> None:
    weights = [standard / (births * sum(STANDARD)) for standard, births in zip(STANDARD, BIRTHS, strict=True)]
    costs = [1e5 * weight for weight, cases in zip(weights, CASES, strict=True) for _ in range(cases)]
    assert sum(costs) == pytest.approx(75.52901, abs=1e-5)
    low, high = total_interval(costs)
    assert low == pytest.approx(67.70212, abs=1e-5)
    # The stratum without a case is the heaviest of all, and the method adds the heaviest weight to the upper limit.
    total, squares, heaviest = sum(costs), sum(cost**2 for cost in costs), 1e5 * max(weights)
    upper, spread = total + heaviest, squares + heaviest**2
    assert stats.gamma.ppf(0.975, upper**2 / spread, scale=spread / upper) == pytest.approx(188.30017, abs=1e-5)
    upper, spread = total + max(costs), squares + max(costs) ** 2
    assert high == pytest.approx(stats.gamma.ppf(0.975, upper**2 / spread, scale=spread / upper))


def test_the_mean_of_the_printed_heights_has_the_printed_limits() -> None:
    heights = [float(one) for one in HEIGHTS.split()]
    assert len(heights) == 75
    found = mean_interval(heights)
    assert found is not None
    assert [round(bound, 2) for bound in found] == [64.06, 65.07]


def test_limits_of_a_mean_are_those_of_an_independent_library() -> None:
    costs = [45.0, 79.0, 79.0, 114.0, 60.0, 240.0]
    assert len(costs) >= MEAN_FROM
    low, high = stats.t.interval(0.95, len(costs) - 1, loc=sum(costs) / len(costs), scale=stats.sem(costs))
    assert mean_interval(costs) == (pytest.approx(low), pytest.approx(high))
