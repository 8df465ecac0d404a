"""What a check asks next: starred skills first, then what leaves the least doubt, mixed; its sums against full ones."""

from __future__ import annotations

from math import exp

import pytest

from scoring.mastery.ability import Answered, Belief, believe, figures, nodes
from scoring.mastery.asking import Ask, to_ask, told
from scoring.mastery.grid import add_answer, posterior
from scoring.mastery.population import STARTING, StandardCase, StandardSet

SKILLS = ("A2", "B1", "D1", "V3")
SET = StandardSet(
    format="levelhead-standard-set",
    version="set-9",
    title="One case on each of four skills",
    cases=tuple(
        StandardCase(recipe=f"on-{skill.lower()}", skill=skill, difficulty_logit=0.0, guess_floor=0.1, weight=weight)
        for skill, weight in zip(SKILLS, (1.0, 1.0, 4.0, 1.0), strict=True)
    ),
)
ASKS = [Ask(f"on-{skill.lower()}", skill, 0.0, 0.1, (skill,)) for skill in SKILLS]
CUT = 80.0


def belief(*answers: tuple[str, float]) -> Belief:
    return believe((Answered(skill, credit, 0.0, 0.0, 0.1, 0.0) for skill, credit in answers), STARTING, SKILLS)


def order(answers: list[tuple[str, float]], asked: list[str], stars: set[str]) -> list[str]:
    found = to_ask(
        belief(*answers), SET, ASKS, stars=stars, asked=asked, on_day=0.0, cut=CUT,
        order={ask.recipe: index / 10 for index, ask in enumerate(ASKS)},
    )  # fmt: skip
    return [ask.recipe for ask in found]


@pytest.mark.parametrize("answers", [[], [("D1", 1.0), ("B1", 0.0), ("D1", 0.5)], [("V3", 1.0)] * 6])
def test_the_doubt_taken_away_is_that_of_the_whole_model_answered_both_ways(answers: list[tuple[str, float]]) -> None:
    """Against the full sum with the answer really added; every other sum of the model is checked elsewhere."""
    before = figures(belief(*answers), SET, on_day=0.0, cut=CUT).overall.chance
    for ask, found in zip(ASKS, told(belief(*answers), SET, ASKS, on_day=0.0, cut=CUT), strict=True):
        chances = [
            figures(_added(answers, ask.skill, credit), SET, on_day=0.0, cut=CUT).overall.chance
            for credit in (1.0, 0.0)
        ]
        right = _likely(belief(*answers), ask.skill)
        after = right * chances[0] * (1 - chances[0]) + (1 - right) * chances[1] * (1 - chances[1])
        assert found == pytest.approx(before * (1 - before) - after, rel=1e-9, abs=1e-12)


def _likely(now: Belief, skill: str) -> float:
    """The chance of a right answer: over the whole grid, point by point."""
    eta, prior, inner = nodes(STARTING)
    weights, given, _ = posterior(now.loglik, prior, inner)
    s = SKILLS.index(skill)
    return sum(
        float(weights[i] * given[s, i, j] * (0.1 + 0.9 / (1.0 + exp(-eta[i, j]))))
        for i in range(len(prior))
        for j in range(len(inner))
    )


def _added(answers: list[tuple[str, float]], skill: str, credit: float) -> Belief:
    """The belief after one more answer, without the fading of older answers on the skill."""
    after = belief(*answers)
    eta, _, _ = nodes(STARTING)
    add_answer(after.loglik[SKILLS.index(skill)], eta, credit, 1.0, 0.0, 0.0, 0.1)
    return after


def test_a_starred_skill_without_a_case_comes_first() -> None:
    assert order([], [], {"V3"})[0] == "on-v3"
    assert order([("V3", 1.0)], ["on-v3"], {"V3", "B1"})[0] == "on-b1"


def test_then_the_most_telling_one_and_none_twice_running() -> None:
    assert order([], [], set())[0] == "on-d1", "four parts in seven of the score hang on it"
    assert order([("D1", 1.0)], ["on-d1"], set())[-1] == "on-d1"


def test_recipes_of_a_skill_take_turns() -> None:
    twin = Ask("on-d1-again", "D1", 0.0, 0.1, ("D1",))
    found = to_ask(
        belief(("D1", 1.0), ("A2", 1.0)), SET, [*ASKS, twin], stars=set(), asked=["on-d1", "on-a2"], on_day=0.0,
        cut=CUT, order={ask.recipe: 0.5 for ask in [*ASKS, twin]},
    )  # fmt: skip
    names = [ask.recipe for ask in found]
    assert names.index("on-d1-again") < names.index("on-d1")


def test_nothing_is_left_to_tell_when_there_is_no_doubt() -> None:
    sure = belief(*[(skill, 1.0) for skill in SKILLS for _ in range(30)])
    assert max(told(sure, SET, ASKS, on_day=0.0, cut=CUT)) < 0.01
