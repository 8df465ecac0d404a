"""Counts, bounds and detection against published figures."""

from __future__ import annotations

from math import isclose

import pytest
from scipy.stats import norm

from scoring.mastery.detection import Detection
from scoring.mastery.intervals import chance_at_least, wilson, wilson_at_least
from scoring.mastery.sequential import SequentialTest, chance_above

# Newcombe 1998, Statist. Med. 17, table I (from memory; statsmodels prints the same).
NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]


@pytest.mark.parametrize(("right", "of", "low", "high"), NEWCOMBE)
def test_wilson_bounds_are_those_of_newcombes_table(right: int, of: int, low: float, high: float) -> None:
    assert wilson(right, of) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


def test_ten_of_ten_supports_no_more_than_four_fifths() -> None:
    supported = {(10, 10): 0.79, (20, 20): 0.88, (19, 20): 0.80, (9, 10): 0.65, (5, 5): 0.65}
    for (right, of), least in supported.items():
        assert round(wilson_at_least(right, of), 2) == least


def test_nothing_counted_supports_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
    with pytest.raises(ValueError, match="3 right of 2"):
        wilson(3, 2)


@pytest.mark.parametrize(
    ("right", "of", "chance"), [(10, 10, 0.9676), (9, 10, 0.7736), (18, 20, 0.873), (20, 20, 0.9974), (45, 50, 0.9694)]
)
def test_jeffreys_chances_are_the_computed_ones(right: int, of: int, chance: float) -> None:
    assert chance_at_least(right, of, 0.8) == pytest.approx(chance, abs=5e-4)


def test_sensitivity_and_criterion_are_those_of_scipys_normal() -> None:
    found = Detection(hits=17, misses=3, false_alarms=4, rightly_kept=26)
    hit, alarm = 17.5 / 21, 4.5 / 31
    assert isclose(found.sensitivity, norm.ppf(hit) - norm.ppf(alarm), rel_tol=1e-12)
    assert isclose(found.criterion, -(norm.ppf(hit) + norm.ppf(alarm)) / 2, rel_tol=1e-12)


def test_the_correction_is_hautus_and_stays_finite() -> None:
    assert Detection(9, 1, 2, 7).sensitivity == pytest.approx(1.7713, abs=5e-5)
    perfect = Detection(10, 0, 0, 10)
    assert 0.0 < perfect.false_alarm_rate < perfect.hit_rate < 1.0
    assert not perfect.known(20)


def test_leaning_to_redo_shows_below_zero() -> None:
    assert Detection(10, 0, 6, 4).criterion < 0.0 < Detection(4, 6, 0, 10).criterion


def test_walds_figures_for_a_seventy_per_cent_cut() -> None:
    test = SequentialTest(0.65, 0.75, 0.05, 0.05)
    assert (test.step_right, test.step_wrong) == (pytest.approx(0.14310, abs=5e-6), pytest.approx(-0.33647, abs=5e-6))
    assert test.bounds == (pytest.approx(-2.9444, abs=5e-5), pytest.approx(2.9444, abs=5e-5))
    assert test.slope == pytest.approx(0.70161, abs=5e-6)


def test_twelve_straight_rights_pass_and_three_straight_wrongs_fail() -> None:
    test = SequentialTest(0.70, 0.90, 0.05, 0.05)
    assert [test.decide(n, n) for n in (11, 12)] == [None, True]
    assert [test.decide(0, n) for n in (2, 3)] == [None, False]


def test_rudners_chance_of_being_above_the_cut() -> None:
    assert chance_above(0.5, 0.3, 0.0) == pytest.approx(0.9522, abs=5e-5)
