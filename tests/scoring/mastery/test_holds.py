"""Whether a 90 % interval holds nine times of ten: simulated operators at the shipped recipes, by the shipped sums.

Of most kinds one outcome speaks of every skill of a case; of the others each skill has its own. In the worst case no
skill ever has.
"""

from __future__ import annotations

import numpy as np
import pytest

from bench.study.shipped import OWN, RECIPES, STANDARD, answer, someone, true_score
from scoring.mastery.ability import Answered, believe, figures, piece_weight, weighed
from scoring.mastery.population import STARTING

NAMES = list(RECIPES)


def held(people: int, cases: int, seed: int, *, own: frozenset[str] = OWN, together: bool = True) -> float:
    """Share of simulated operators whose expected score lies within its interval."""
    rng = np.random.default_rng(seed)
    inside = 0
    for _ in range(people):
        ability = someone(rng)
        evidence: list[Answered] = []
        for _ in range(cases):
            pieces = answer(RECIPES[NAMES[rng.integers(len(NAMES))]], ability, rng, own)
            evidence += weighed(pieces, STARTING) if together else pieces
        found = figures(believe(evidence, STARTING, STANDARD.skills), STANDARD, on_day=0.0, cut=80.0).overall
        inside += found.low <= true_score(ability) <= found.high
    return inside / people


def test_pieces_of_a_case_are_worth_more_than_one_answer_and_less_than_so_many() -> None:
    assert piece_weight(STARTING, 1) == 1.0
    for count in (2, 3, 4):
        assert 1.0 < count * piece_weight(STARTING, count) < count


def test_the_interval_holds_nine_times_of_ten_and_less_were_pieces_so_many_answers() -> None:
    share = held(150, 30, seed=1)
    assert 0.87 <= share <= 0.95
    assert held(150, 30, seed=1, together=False) < share


@pytest.mark.proof
@pytest.mark.parametrize("cases", [15, 30, 70])
def test_it_holds_with_few_cases_and_with_many(cases: int) -> None:
    assert 0.87 <= held(400, cases, seed=cases) <= 0.95
    assert 0.85 <= held(400, cases, seed=cases, own=frozenset()) <= 0.95
