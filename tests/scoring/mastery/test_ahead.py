"""How many more cases are told to settle something: enough four times of five, for people who answer by chance."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from bench.study.shipped import RECIPES, RULE, STANDARD, answer, someone
from scoring.mastery.ability import Answered, Belief, believe, figures, overall_chance, take_in, weighed
from scoring.mastery.ahead import MORE_MOST, more_cases, more_overall
from scoring.mastery.decision import call
from scoring.mastery.population import STARTING

CUT = RULE.cut_points
ENDS = {"ready_at": RULE.ready_chance, "not_ready_at": RULE.not_ready_chance}
NAMES = sorted({case.recipe for case in STANDARD.cases})


def said(skill: str, credit: float, count: int) -> list[Answered]:
    return [Answered(skill, credit, 0.0, 0.6, 0.3, 0.0)] * count


def belief_of(*rows: list[Answered]) -> Belief:
    return believe([one for row in rows for one in row], STARTING, STANDARD.skills)


def skill_chance(belief: Belief, skill: str, day: float = 0.0) -> float:
    return figures(belief, STANDARD, on_day=day, cut=CUT).skills[skill].chance


def more(belief: Belief, skill: str = "V1") -> int | None:
    return more_cases(belief, STANDARD, skill, on_day=0.0, cut=CUT, **ENDS)


def test_what_is_settled_needs_no_more() -> None:
    assert more(belief_of(said("V1", 1.0, 40))) == 0
    assert more(belief_of(said("V1", 0.0, 12))) == 0


def test_who_is_nearer_to_a_decision_needs_fewer() -> None:
    far, near = (more(belief_of(said("V1", 1.0, count))) for count in (14, 18))
    assert far is not None
    assert near is not None
    assert 0 < near < far <= MORE_MOST


def test_the_same_belief_is_told_the_same_number() -> None:
    belief = belief_of(said("V1", 1.0, 6))
    assert more(belief) == more(belief_of(said("V1", 1.0, 6)))


def test_full_credit_on_so_many_cases_is_enough_for_somebody_who_leans_to_ready() -> None:
    rows = said("V1", 1.0, 14)
    needed = more(belief_of(rows))
    assert needed is not None
    after = skill_chance(belief_of(rows, said("V1", 1.0, needed)), "V1")
    assert call(after, **ENDS) == "ready"


def evenly(credit: float, count: int) -> Belief:
    return belief_of(*(said(skill, credit, count) for skill in STANDARD.skills))


def test_nothing_is_told_of_ready_to_whom_it_would_not_come_four_times_of_five() -> None:
    def overall(belief: Belief) -> int | None:
        return more_overall(belief, STANDARD, on_day=0.0, cut=CUT, ready_at=RULE.ready_chance)

    assert overall(evenly(1.0, 6)) == 0
    assert overall(evenly(0.5, 6)) is None
    unlikely = evenly(0.87, 3)
    chance = overall_chance(unlikely, STANDARD, on_day=0.0, cut=CUT)
    assert 0.3 < chance < STARTING.ahead_settled_share * RULE.ready_chance
    assert overall(unlikely) is None


def test_idle_days_between_cases_make_more_of_them_needed() -> None:
    belief = evenly(0.92, 3)
    slow = replace(belief, population=replace(STARTING, version="slow", ahead_days_between=30.0))
    quick, late = (
        more_overall(one, STANDARD, on_day=0.0, cut=CUT, ready_at=RULE.ready_chance) for one in (belief, slow)
    )
    assert quick is not None
    assert 0 < quick < (late or MORE_MOST + 1)


class Someone:
    """One simulated operator who has practised the shipped recipes for some weeks, and goes on."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.ability = someone(self.rng)
        self.belief = belief_of()
        self.today = 0.0
        for day in np.sort(self.rng.uniform(0.0, 90.0, int(self.rng.choice([30, 50, 80])))):
            self.answers(NAMES[self.rng.integers(len(NAMES))], float(day))

    def answers(self, recipe: str, day: float) -> None:
        """One more case, by chance."""
        pieces = [replace(one, day=day) for one in answer(RECIPES[recipe], self.ability, self.rng)]
        counts, last = list(self.belief.counts), list(self.belief.last_days)
        loglik, worth = self.belief.loglik.copy(), self.belief.worth.copy()
        for one in weighed(pieces, STARTING):
            place = STANDARD.skills.index(one.skill)
            take_in(loglik[place], worth[place], one, STARTING)
            counts[place], last[place] = counts[place] + 1, day
        self.belief = replace(self.belief, loglik=loglik, worth=worth, counts=tuple(counts), last_days=tuple(last))
        self.today = day

    def settles(self, number: int, recipe: Callable[[], str], settled: Callable[[], bool]) -> bool:
        """Whether it is settled by so many more cases, six on a day, three days apart."""
        for done in range(number):
            day = self.today + (3.0 if done and done % 6 == 0 else 0.0)
            self.answers(recipe(), day)
            if settled():
                return True
        return False

    def least_answered(self) -> str:
        """The recipe whose skills have the fewest answers."""

        def answers(name: str) -> float:
            return float(np.mean([self.belief.counts[STANDARD.skills.index(s)] for s in RECIPES[name]["skills"]]))

        return min(NAMES, key=lambda name: (answers(name), name))


def skills_settled(people: range) -> list[bool]:
    """Of everybody's first skill that is not settled and has a number: whether it was settled by that number."""
    out = []
    for seed in people:
        who = Someone(seed)
        for skill in who.rng.permutation(STANDARD.skills):
            number = more_cases(who.belief, STANDARD, skill, on_day=who.today, cut=CUT, **ENDS)
            if number:
                fit = [name for name in NAMES if skill in RECIPES[name]["skills"]]

                def drawn(who: Someone = who, fit: list[str] = fit) -> str:
                    return fit[who.rng.integers(len(fit))]

                def settled(who: Someone = who, skill: str = skill) -> bool:
                    return call(skill_chance(who.belief, skill, who.today), **ENDS) != "not enough evidence"

                out.append(who.settles(number, drawn, settled))
                break
    return out


def test_a_skill_is_settled_by_the_number_told_four_times_of_five() -> None:
    found = skills_settled(range(200))
    assert len(found) >= 100
    assert 0.72 <= np.mean(found) <= 0.90


@pytest.mark.proof
def test_it_is_so_for_many_people_and_for_being_ready_too() -> None:
    assert 0.75 <= np.mean(skills_settled(range(1000, 1400))) <= 0.88
    ready = []
    for seed in range(2000, 5000):
        who = Someone(seed)
        number = more_overall(who.belief, STANDARD, on_day=who.today, cut=CUT, ready_at=RULE.ready_chance)
        if number:

            def settled(who: Someone = who) -> bool:
                return overall_chance(who.belief, STANDARD, on_day=who.today, cut=CUT) >= RULE.ready_chance

            ready.append(who.settles(number, who.least_answered, settled))
    assert len(ready) >= 80
    assert 0.70 <= np.mean(ready) <= 0.90
