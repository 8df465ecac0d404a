"""Counts, bounds and detection: what holds of them whatever the numbers (published values: tests/external)."""

from __future__ import annotations

from math import isclose

import pytest
from scipy.stats import norm

from scoring.mastery.detection import Detection
from scoring.mastery.intervals import wilson, wilson_at_least


def test_ten_of_ten_supports_no_more_than_four_fifths() -> None:
    supported = {(10, 10): 0.79, (20, 20): 0.88, (19, 20): 0.80, (9, 10): 0.65, (5, 5): 0.65}
    for (right, of), least in supported.items():
        assert round(wilson_at_least(right, of), 2) == least


def test_nothing_counted_supports_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
    with pytest.raises(ValueError, match="3 right of 2"):
        wilson(3, 2)


def test_sensitivity_and_criterion_are_those_of_scipys_normal() -> None:
    found = Detection(hits=17, misses=3, false_alarms=4, rightly_kept=26)
    hit, alarm = 17.5 / 21, 4.5 / 31
    assert isclose(found.sensitivity, norm.ppf(hit) - norm.ppf(alarm), rel_tol=1e-12)
    assert isclose(found.criterion, -(norm.ppf(hit) + norm.ppf(alarm)) / 2, rel_tol=1e-12)


def test_the_corrected_rates_are_never_0_or_1() -> None:
    perfect = Detection(10, 0, 0, 10)
    assert 0.0 < perfect.false_alarm_rate < perfect.hit_rate < 1.0
    assert not perfect.known(20)


def test_leaning_to_redo_shows_below_zero() -> None:
    assert Detection(10, 0, 6, 4).criterion < 0.0 < Detection(4, 6, 0, 10).criterion
