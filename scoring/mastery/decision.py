"""Ready, not ready, or not enough evidence: a posterior rule that says how many more cases would settle it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Literal

import numpy as np

from scoring.mastery.ability import Belief, Figures, expected, figures, nodes, of_skill, overall_chance, piece_weight
from scoring.mastery.grid import Array, add_answer, posterior
from scoring.mastery.population import Population, StandardSet

Call = Literal["ready", "not ready", "not enough evidence"]

MORE_MOST = 40
"""Beyond so many more cases nothing is promised."""


def call(chance: float, *, ready_at: float, not_ready_at: float) -> Call:
    """The call for a probability of being at or above the cut."""
    if chance >= ready_at:
        return "ready"
    return "not ready" if chance <= not_ready_at else "not enough evidence"


def more_cases(
    belief: Belief,
    standard: StandardSet,
    skill: str,
    *,
    on_day: float,
    cut: float,
    ready_at: float,
    not_ready_at: float,
) -> int | None:
    """About how many more cases on a skill would settle it, if they go as they are expected to; None when none would.

    That older answers fade meanwhile is left out, so it can take more; who does well needs no more as a rule.
    Each added case earns the person's own expected score and counts for the skill as much as the skill's cases of the
    standard set do. The other skills are summed once: added answers touch one skill alone.
    """
    only = StandardSet(
        format=standard.format,
        version=standard.version,
        title=standard.title,
        cases=tuple(c for c in standard.cases if c.skill == skill),
    )
    place = belief.skills.index(skill)
    eta, prior, inner = nodes(belief.population)
    typical = sum(c.weight * c.difficulty_logit for c in only.cases) / sum(c.weight for c in only.cases)
    floor = sum(c.weight * c.guess_floor for c in only.cases) / sum(c.weight for c in only.cases)
    weight = case_weight(belief.population, standard, skill)
    others, _, _ = posterior(np.delete(belief.loglik, place, axis=0), prior, inner)
    one = np.ascontiguousarray(belief.loglik[place : place + 1])
    alone = replace(belief, skills=(skill,), loglik=one, counts=(0,), last_days=(belief.last_days[place],))
    given_others = np.maximum(others, np.finfo(float).tiny)

    def chance_of(loglik: Array, score: Array, spread: Array) -> tuple[float, float]:
        weights, given, _ = posterior(loglik, given_others, inner)
        found = of_skill(weights, given[0], score[0], spread[0])
        return 1.0 - found.below(cut / 100.0), float(found.weights @ found.mean)

    score, spread, _, _ = expected(alone, only, on_day)
    chance, score_share = chance_of(one, score, spread)
    # Once a case is added the skill was practised that day; what it is worth at each node changes no more.
    score, spread, _, _ = expected(replace(alone, last_days=(on_day,)), only, on_day)
    loglik = one.copy()
    for added in range(MORE_MOST + 1):
        if call(chance, ready_at=ready_at, not_ready_at=not_ready_at) != "not enough evidence":
            return added
        add_answer(loglik[0], eta, score_share, weight, typical, 0.0, floor)
        chance, _ = chance_of(loglik, score, spread)
    return None


def case_weight(population: Population, standard: StandardSet, skill: str) -> float:
    """What a case of the set is worth on a skill in the mean, as a share of an answer: it speaks of others too."""
    skills_of = Counter(case.recipe for case in standard.cases)
    each = [piece_weight(population, skills_of[case.recipe]) for case in standard.cases if case.skill == skill]
    return sum(each) / len(each)


def more_overall(belief: Belief, standard: StandardSet, *, on_day: float, cut: float, ready_at: float) -> int | None:
    """About how many more cases, spread over the set, would lift the overall chance to ready; None when none would.

    That older answers fade meanwhile is left out. They are taken to go as expected, so somebody whose expected score is
    below the cut is promised nothing.
    """
    found = figures(belief, standard, on_day=on_day, cut=cut)
    if found.overall.chance >= ready_at:
        return 0
    if found.overall.score < cut:
        return None
    low, high = 0, MORE_MOST
    if _chance_after(belief, standard, found, high, on_day, cut) < ready_at:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if _chance_after(belief, standard, found, middle, on_day, cut) < ready_at:
            low = middle
        else:
            high = middle
    return high


def _chance_after(
    belief: Belief, standard: StandardSet, found: Figures, cases: int, on_day: float, cut: float
) -> float:
    """The overall chance after some more cases that go as expected, the least answered skills first."""
    eta, _, _ = nodes(belief.population)
    loglik, counts, last = belief.loglik.copy(), list(belief.counts), list(belief.last_days)
    places = {name: belief.skills.index(name) for name in standard.skills}
    typical = {case.skill: (case.difficulty_logit, case.guess_floor) for case in standard.cases}
    for _ in range(cases):
        name = min(standard.skills, key=lambda one: (counts[places[one]], one))
        place = places[name]
        difficulty, floor = typical[name]
        add_answer(loglik[place], eta, found.skills[name].score / 100.0, 1.0, difficulty, 0.0, floor)
        counts[place] += 1
        last[place] = on_day
    after = replace(belief, loglik=loglik, counts=tuple(counts), last_days=tuple(last))
    return overall_chance(after, standard, on_day=on_day, cut=cut)


__all__ = ["MORE_MOST", "Call", "call", "case_weight", "more_cases", "more_overall"]
