"""How many more cases settle a skill, or lift somebody to ready: cases still to come, played many times over.

    belief today --a truth drawn from it--> answers to come, right or wrong --the usual sums--> settled by k cases
    told: the least k by which the share of plays that the population names was settled

Each play draws how able the person is from what is believed today, then answers by chance, as a person would: a path
on which every case goes just as expected is one that nobody walks. Older answers fade as newer ones come, days pass
between days with practice, a case speaks of several skills, and some of it can be guessed. The draws are the same every
time.

    symbol  meaning                                                        shape
    P       plays                                                          number
    T, D    nodes of the overall level, of a deviation, that bear weight   numbers
    N       nodes of one skill's grid that bear weight, in a row           number
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from scoring.mastery import grid
from scoring.mastery.ability import Belief, expected, fade_in, nodes, overall_chance, piece_weight
from scoring.mastery.grid import Array, posterior
from scoring.mastery.population import Population, StandardSet

Flags = NDArray[np.bool_]

PLAYS = 100
MORE_MOST = 40
"""Beyond so many more cases nothing is told."""
LOOKED_AT_FROM = 16
"""Before so many cases nobody is given up."""
SEED = 1
LEAST_MASS = 1e-4
"""A node with less of the whole than this is left out."""


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
    """By about so many more cases a skill was ready or not ready in the share of plays asked for; None: by no number.

    A case counts for the skill as much as cases of the standard set do in the mean. The other skills are summed once.
    Days that pass change nothing here: on the day of its newest case a skill has not faded.
    """
    population, place = belief.population, belief.skills.index(skill)
    eta, prior, inner = nodes(population)
    others, _, _ = posterior(np.delete(belief.loglik, place, axis=0), prior, inner)
    base = np.log(np.maximum(others, np.finfo(float).tiny))[:, None] + np.log(inner)
    mass = _shares((base + belief.loglik[place]).ravel())
    kept = mass > LEAST_MASS

    def settled(chances: Array) -> Flags:
        return (chances >= ready_at) | (chances <= not_ready_at)

    above = _above(*_scores(belief, standard, skill, belief.last_days[place], on_day), cut).ravel()
    if settled(np.atleast_1d(mass @ above))[0]:
        return 0
    above = _above(*_scores(belief, standard, skill, on_day, on_day), cut).ravel()[kept]
    rng = np.random.default_rng(SEED)
    typical = _typical_logit(standard, skill)
    line = _Line(belief, place, eta.ravel()[kept], belief.loglik[place].ravel()[kept], typical)
    truth = line.eta[_drawn(mass[kept], _even(rng))] - typical
    weight, base = case_weight(population, standard, skill), base.ravel()[kept]
    done = np.zeros(PLAYS, dtype=bool)
    for more in range(1, MORE_MOST + 1):
        line.add(_right(truth, population, rng), weight)
        done |= settled(_shares(base + line.loglik()) @ above)
        if done.mean() >= population.ahead_settled_share:
            return more
        if _hopeless(done, more, population):
            return None
    return None


def more_overall(belief: Belief, standard: StandardSet, *, on_day: float, cut: float, ready_at: float) -> int | None:
    """By about so many more cases somebody was ready in the share of plays asked for; None: by no number.

    The recipes of the standard set come by turns, those with the least answered skills first. No number is told where
    the expected score is below the cut, nor where the chance is below that share of ``ready_at``: a belief that is
    right rises from p to q in p / q of all lives at most.
    """
    chance = overall_chance(belief, standard, on_day=on_day, cut=cut)
    if chance >= ready_at:
        return 0
    population = belief.population
    if chance < population.ahead_settled_share * ready_at:
        return None
    plays = _Plays(belief, standard, on_day, cut)
    if plays.score < cut / 100.0:
        return None
    done = np.zeros(PLAYS, dtype=bool)
    for more in range(1, MORE_MOST + 1):
        plays.one_more()
        done |= plays.chances() >= ready_at
        if done.mean() >= population.ahead_settled_share:
            return more
        if _hopeless(done, more, population):
            return None
    return None


def _hopeless(done: Flags, cases: int, population: Population) -> bool:
    """Whether too few plays are settled by some cases for any number that is told: each further case settles fewer."""
    return cases >= LOOKED_AT_FROM and done.mean() < population.ahead_settled_share * cases / MORE_MOST


def case_weight(population: Population, standard: StandardSet, skill: str) -> float:
    """What a case of the set is worth on a skill in the mean, as a share of an answer: it speaks of others too."""
    skills_of = Counter(case.recipe for case in standard.cases)
    each = [piece_weight(population, skills_of[case.recipe]) for case in standard.cases if case.skill == skill]
    return sum(each) / len(each)


class _Line:
    """The log likelihood of one skill at some nodes, in each play: what there was, faded, and what came since."""

    def __init__(self, belief: Belief, place: int, eta: Array, before: Array, typical_logit: float) -> None:
        population = belief.population
        self.eta = eta
        self._population, self._before, self._worth = population, before, belief.worth[place].copy()
        flat = 1.0 / np.sqrt(1.0 + grid.BLUR * population.ahead_difficulty_sd**2)
        p = population.ahead_floor + (1.0 - population.ahead_floor) / (1.0 + np.exp(-(eta - typical_logit) * flat))
        self._right, self._wrong = np.log(p), np.log(np.maximum(1.0 - p, grid.LEAST_CHANCE))
        self._kept = 1.0
        self._rights, self._wrongs = np.zeros(PLAYS), np.zeros(PLAYS)

    def add(self, right: Flags, weight: float) -> None:
        """One more answer of that weight in each play, right or wrong (P,)."""
        kept, counts = fade_in(self._worth, weight, self._population)
        self._kept *= kept
        self._rights = kept * self._rights + counts * right
        self._wrongs = kept * self._wrongs + counts * ~right

    def loglik(self) -> Array:
        """(P, ...)."""
        along = (PLAYS, *(1,) * self.eta.ndim)
        new = self._rights.reshape(along) * self._right + self._wrongs.reshape(along) * self._wrong
        return np.asarray(self._kept * self._before + new)


class _Plays:
    """Somebody's whole belief in each play, and what is asked of it: the chance of being at the cut."""

    def __init__(self, belief: Belief, standard: StandardSet, on_day: float, cut: float) -> None:
        population = self._population = belief.population
        self._belief, self._standard, self._day, self._cut = belief, standard, on_day, cut / 100.0
        eta, prior, inner = nodes(population)
        weights, given, _ = posterior(belief.loglik, prior, inner)
        places = [belief.skills.index(skill) for skill in standard.skills]
        level = weights > LEAST_MASS
        apart = (weights[:, None] * given[places]).sum(axis=1).max(axis=0) > LEAST_MASS
        self._cells = np.ix_(level, apart)
        self._log_prior, self._log_inner = np.log(prior[level]), np.log(inner[apart])
        shares = np.array([sum(c.weight for c in standard.cases if c.skill == s) for s in standard.skills])
        self._shares = shares / shares.sum()
        self._last = [belief.last_days[place] for place in places]
        self._counts = [belief.counts[place] for place in places]
        self._places = places
        self._typical = [_typical_logit(standard, skill) for skill in standard.skills]
        self._lines = [
            _Line(belief, place, eta[self._cells], belief.loglik[place][self._cells], typical)
            for place, typical in zip(places, self._typical, strict=True)
        ]
        skills = list(standard.skills)
        self._recipes: dict[str, list[int]] = {}
        for case in standard.cases:
            self._recipes.setdefault(case.recipe, []).append(skills.index(case.skill))
        self._rng = np.random.default_rng(SEED)
        at_level = _drawn(weights, _even(self._rng))
        self._truth = np.array([_drawn_each(given[p][at_level], self._rng) for p in places])
        self._truth = np.take_along_axis(eta[at_level].T, self._truth, axis=0)
        size = (len(skills), PLAYS, int(level.sum()))
        self._mass, self._mean, self._variance = np.zeros(size), np.zeros(size), np.zeros(size)
        self._done = 0
        for skill in range(len(skills)):
            self._sum(skill)

    @property
    def score(self) -> float:
        """Expected score in the first play, 0..1."""
        weights = _shares(self._log_prior + self._mass[:, 0].sum(axis=0))
        return float(weights @ (self._shares @ self._mean[:, 0]))

    def chances(self) -> Array:
        """Of being at the cut, in each play (P,)."""
        weights = _shares(self._log_prior + self._mass.sum(axis=0))
        mean = np.tensordot(self._shares, self._mean, 1)
        variance = np.tensordot(self._shares**2, self._variance, 1)
        return np.asarray((weights * ndtr((mean - self._cut) / np.sqrt(variance + 1e-12))).sum(axis=1))

    def one_more(self) -> None:
        """One more case in each play, of the recipe whose skills have the fewest answers."""
        population = self._population
        if self._done and self._done % population.ahead_cases_a_day == 0:
            self._day += population.ahead_days_between
            for skill in range(len(self._lines)):
                self._sum(skill)
        self._done += 1
        skills = min(self._recipes.items(), key=lambda one: (np.mean([self._counts[s] for s in one[1]]), one[0]))[1]
        margin = np.mean([self._truth[s] - self._typical[s] for s in skills], axis=0)
        right = _right(margin, population, self._rng)
        for skill in skills:
            self._lines[skill].add(right, piece_weight(population, len(skills)))
            self._counts[skill] += 1
            self._last[skill] = self._day
            self._sum(skill)

    def _sum(self, skill: int) -> None:
        """Sum one skill over its deviations: mass, mean score and its variance at each overall level."""
        name = self._standard.skills[skill]
        score, spread = (
            one[self._cells] for one in _scores(self._belief, self._standard, name, self._last[skill], self._day)
        )
        loglik = self._lines[skill].loglik() + self._log_inner
        top = loglik.max(axis=2, keepdims=True)
        share = np.exp(loglik - top)
        mass = share.sum(axis=2)
        self._mass[skill] = top[..., 0] + np.log(mass)
        self._mean[skill] = mean = np.einsum("ptd,td->pt", share, score) / mass
        second = np.einsum("ptd,td->pt", share, score * score + spread) / mass
        self._variance[skill] = np.maximum(0.0, second - mean * mean)


def _scores(
    belief: Belief, standard: StandardSet, skill: str, last_day: float | None, on_day: float
) -> tuple[Array, Array]:
    """Score of one skill and what is added to its variance, at the nodes (T, D) of the whole grid."""
    only = replace(standard, cases=tuple(case for case in standard.cases if case.skill == skill))
    score, spread, _, _ = expected(replace(belief, skills=(skill,), last_days=(last_day,)), only, on_day)
    return score[0], spread[0]


def _above(score: Array, spread: Array, cut: float) -> Array:
    """Chance of being at the cut at each node, as the figure of a skill has it (see `ability.of_skill`)."""
    piece = np.gradient(score, axis=1)
    return np.asarray(ndtr((score - cut / 100.0) / np.sqrt(spread + piece * piece / 12.0 + 1e-12)))


def _typical_logit(standard: StandardSet, skill: str) -> float:
    cases = [case for case in standard.cases if case.skill == skill]
    return sum(case.weight * case.difficulty_logit for case in cases) / sum(case.weight for case in cases)


def _right(margin: Array, population: Population, rng: np.random.Generator) -> Flags:
    """Whether a case is right in each play (P,), for how far the truth lies above its typical difficulty [logit]."""
    off = population.ahead_difficulty_sd * rng.normal(size=PLAYS)
    chance = population.ahead_floor + (1.0 - population.ahead_floor) / (1.0 + np.exp(-(margin - off)))
    return np.asarray(rng.random(PLAYS) < chance)


def _shares(log_mass: Array) -> Array:
    """Log masses as shares of their sum, along the last axis."""
    mass = np.exp(log_mass - log_mass.max(axis=-1, keepdims=True))
    return np.asarray(mass / mass.sum(axis=-1, keepdims=True))


def _even(rng: np.random.Generator) -> Array:
    """A number 0..1 for each play, spread out evenly."""
    return np.asarray((np.arange(PLAYS) + rng.random(PLAYS)) / PLAYS)


def _drawn(mass: Array, at: Array) -> Array:
    """Places drawn by their mass, one for each number 0..1."""
    summed = np.cumsum(mass)
    return np.minimum(np.searchsorted(summed / summed[-1], at), mass.size - 1)


def _drawn_each(mass: Array, rng: np.random.Generator) -> Array:
    """One place drawn from each row of masses (P, D)."""
    summed = np.cumsum(mass, axis=1)
    return np.asarray((summed < rng.random((PLAYS, 1)) * summed[:, -1:]).sum(axis=1))


__all__ = ["MORE_MOST", "PLAYS", "case_weight", "more_cases", "more_overall"]
