"""What somebody may be expected to earn, and the difficulty that fits."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.mastery.ability import Answered, Belief, believe, figures
from scoring.mastery.population import STARTING, StandardCase, StandardSet
from scoring.mastery.prospect import prospect

SKILLS = ("A2", "D1")


def known(credits: list[float], difficulty: float = 0.0) -> Belief:
    return believe([Answered("A2", credit, difficulty, 0.3, 0.1, 10.0) for credit in credits], STARTING, SKILLS)


@pytest.mark.parametrize("on_day", [10.0, 100.0])
@pytest.mark.parametrize(("difficulty", "floor"), [(0.0, 0.0), (1.5, 0.25), (-2.0, 0.5)])
def test_it_agrees_with_the_expected_score_on_a_set_of_that_one_case(
    difficulty: float, floor: float, on_day: float
) -> None:
    belief = known([1.0, 0.0, 1.0, 0.5])
    case = StandardCase(recipe="one", skill="A2", difficulty_logit=difficulty, guess_floor=floor, weight=1.0)
    alone = StandardSet(format="levelhead-standard-set", version="one", title="One case", cases=(case,))
    score = figures(belief, alone, on_day=on_day, cut=80.0).overall.score
    assert prospect(belief, on_day=on_day).credit("A2", difficulty, floor) == pytest.approx(score / 100, abs=1e-9)


@pytest.mark.parametrize("floor", [0.0, 0.2, 0.5])
@pytest.mark.parametrize("credits", [[], [1.0] * 12, [0.0] * 12])
def test_the_fitting_difficulty_gives_the_target(credits: list[float], floor: float) -> None:
    told = prospect(known(credits), on_day=10.0)
    assert told.credit("A2", told.fitting_logit("A2", floor, 0.8), floor) == pytest.approx(0.8, abs=1e-6)


def test_the_abler_get_the_harder_and_idle_weeks_ease_it() -> None:
    able, weak = known([1.0] * 10), known([0.0] * 10)
    on_the_day = [prospect(one, on_day=10.0).fitting_logit("A2", 0.1, 0.8) for one in (weak, able)]
    assert on_the_day[0] < on_the_day[1]
    assert prospect(able, on_day=200.0).fitting_logit("A2", 0.1, 0.8) < on_the_day[1]


def test_a_floor_above_the_target_leaves_nothing_to_aim_for() -> None:
    assert prospect(known([1.0]), on_day=10.0).fitting_logit("A2", 0.85, 0.8) == pytest.approx(8.0)


def test_weights_are_shares() -> None:
    told = prospect(known([1.0, 0.0]), on_day=10.0)
    assert all(np.isclose(told.weights[skill].sum(), 1.0) for skill in SKILLS)
    with pytest.raises(KeyError):
        told.credit("Z1", 0.0, 0.0)
