"""What counts say of a person: bounds, detection, sequential tests and forgetting against published or other figures.

Bounds of a share: Newcombe 1998, Statist. Med. 17, table I (from memory), and scipy's own Wilson interval. Detection:
formulas of Macmillan and Creelman 2005 and of Hautus 1995 (from memory). Sequential test: formulas of Wald 1945 (from
memory). Where it says "by hand" a value was computed by hand from the published formula, as no printed one was found.
"""

from __future__ import annotations

from math import ceil, floor

import pytest
from scipy import stats

from scoring.mastery.ability import retained
from scoring.mastery.detection import Detection
from scoring.mastery.intervals import chance_at_least, wilson
from scoring.mastery.population import STARTING
from scoring.mastery.sequential import SequentialTest, chance_above

NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
NARROW, WIDE = SequentialTest(0.65, 0.75, 0.05, 0.05), SequentialTest(0.70, 0.90, 0.05, 0.05)
"""Round a cut of 70 %, the printed choice of a textbook on tests; and round one of 80 %."""


@pytest.mark.parametrize(("right", "of", "low", "high"), NEWCOMBE)
def test_bounds_of_a_share_are_those_of_newcombes_table(right: int, of: int, low: float, high: float) -> None:
    assert wilson(right, of) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


@pytest.mark.parametrize(("right", "of"), [(0, 1), (3, 7), (19, 20), (20, 20), (412, 977)])
@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
def test_bounds_of_a_share_are_those_of_another_library(right: int, of: int, confidence: float) -> None:
    theirs = stats.binomtest(right, of).proportion_ci(confidence, method="wilson")
    assert wilson(right, of, confidence=confidence) == (pytest.approx(theirs.low), pytest.approx(theirs.high))


@pytest.mark.parametrize(
    ("right", "of", "chance"), [(10, 10, 0.9676), (9, 10, 0.7736), (18, 20, 0.873), (20, 20, 0.9974), (45, 50, 0.9694)]
)
def test_chances_under_jeffreys_prior(right: int, of: int, chance: float) -> None:
    """Computed by hand from Beta(k + 1/2, n - k + 1/2), and by scipy's own distribution."""
    assert chance_at_least(right, of, 0.8) == pytest.approx(chance, abs=5e-4)
    assert chance_at_least(right, of, 0.8) == pytest.approx(stats.beta.sf(0.8, right + 0.5, of - right + 0.5))


def test_four_hits_of_five_and_one_false_alarm_of_ten() -> None:
    """By hand: z(.8) - z(.1) = 2.1232, -(z(.8) + z(.1)) / 2 = .2200; of a million frames the correction is nothing."""
    many = Detection(hits=800_000, misses=200_000, false_alarms=100_000, rightly_kept=900_000)
    assert many.sensitivity == pytest.approx(2.1232, abs=5e-5)
    assert many.criterion == pytest.approx(0.2200, abs=5e-5)
    few = Detection(hits=8, misses=2, false_alarms=1, rightly_kept=9)
    assert few.sensitivity < many.sensitivity, "the correction draws a few frames towards nothing seen"


def test_the_log_linear_correction_of_a_few_frames() -> None:
    """9 hits of 10, 2 false alarms of 9: z(9.5 / 11) - z(2.5 / 10) = 1.7713, by hand."""
    few = Detection(hits=9, misses=1, false_alarms=2, rightly_kept=7)
    assert few.sensitivity == pytest.approx(1.7713, abs=5e-5)
    hit, alarm = stats.norm.ppf(9.5 / 11), stats.norm.ppf(2.5 / 10)
    assert few.criterion == pytest.approx(-(hit + alarm) / 2)


@pytest.mark.parametrize(
    ("test", "right", "wrong", "bound", "slope"),
    [(NARROW, 0.14310, -0.33647, 2.9444, 0.70161), (WIDE, 0.25131, -1.09861, 2.9444, 0.81383)],
)
def test_steps_bounds_and_slope_of_a_sequential_test(
    test: SequentialTest, right: float, wrong: float, bound: float, slope: float
) -> None:
    """By hand: ln(p1/p0), ln((1-p1)/(1-p0)), ln((1-b)/a), and the share of rights that keeps the balance."""
    assert (test.step_right, test.step_wrong) == (pytest.approx(right, abs=5e-6), pytest.approx(wrong, abs=5e-6))
    assert test.bounds == (pytest.approx(-bound, abs=5e-5), pytest.approx(bound, abs=5e-5))
    assert test.slope == pytest.approx(slope, abs=5e-6)


@pytest.mark.parametrize(("test", "offset"), [(NARROW, 6.140), (WIDE, 2.181)])
def test_it_decides_along_two_lines_that_far_above_and_below_the_slope(test: SequentialTest, offset: float) -> None:
    """By hand: bound / (step right - step wrong), in right answers."""
    for of in range(1, 200):
        passes, fails = ceil(test.slope * of + offset), floor(test.slope * of - offset)
        decided = [test.decide(right, of) for right in range(of + 1)]
        assert decided == [True if n >= passes else False if n <= fails else None for n in range(of + 1)]


@pytest.mark.parametrize(("test", "low", "high"), [(NARROW, 107.0, 114.0), (WIDE, 17.2, 22.8)])
def test_it_takes_as_many_answers_as_walds_formula_says_and_a_few_more(
    test: SequentialTest, low: float, high: float
) -> None:
    """Wald's expected number leaves out by how much the last answer oversteps a bound, so the exact one is larger."""
    for share, fails, told in ((test.low_share, 0.95, low), (test.high_share, 0.05, high)):
        lower, upper = test.bounds
        drift = share * test.step_right + (1.0 - share) * test.step_wrong
        assert (fails * lower + (1.0 - fails) * upper) / drift == pytest.approx(told, abs=0.2)
        assert told < exact_length(test, share) < 1.3 * told


def exact_length(test: SequentialTest, share: float) -> float:
    """Expected number of answers, summed over every number of rights that leaves it open."""
    chance_of, expected, of = {0: 1.0}, 0.0, 0
    while chance_of:
        expected += sum(chance_of.values())
        of += 1
        after: dict[int, float] = {}
        for right, chance in chance_of.items():
            for more, part in ((1, share), (0, 1.0 - share)):
                if test.decide(right + more, of) is None and chance * part > 1e-12:
                    after[right + more] = after.get(right + more, 0.0) + chance * part
        chance_of = after
    return expected


def test_twelve_straight_rights_pass_and_three_straight_wrongs_fail() -> None:
    assert [WIDE.decide(n, n) for n in (11, 12)] == [None, True]
    assert [WIDE.decide(0, n) for n in (2, 3)] == [None, False]


def test_the_chance_of_being_above_a_cut() -> None:
    """Rudner 2001 (abstract read): the normal area above the cut; this value by hand, and by scipy's distribution."""
    assert chance_above(0.5, 0.3, 0.0) == pytest.approx(0.9522, abs=5e-5)
    assert chance_above(0.5, 0.3, 0.0) == pytest.approx(stats.norm.sf(0.0, loc=0.5, scale=0.3))


def test_half_of_a_gain_is_gone_after_six_and_a_half_idle_months() -> None:
    """Tatel and Ackerman, Psychol. Bull., doi 10.1037/bul0000481 (abstract, read second-hand), accuracy-type tasks."""
    assert retained(STARTING, 6.5 * 365.25 / 12.0) == pytest.approx(0.5, abs=0.01)
