"""What somebody's answers say of their ability: skill by skill, sharing strength across skills.

    evidence  --believe-->  belief (likelihoods on a grid)  --figures-->  expected scores with their intervals

The model is a two-level logistic one: logit(p) = overall(person) + deviation(person, skill) - difficulty(case),
with a guessing floor for each case, partial credit, older answers that lose weight as newer ones come, and a decay
toward the novice level while a skill is idle. It is summed exactly over a grid, not approximated at its mode: the
mode with its curvature understated who is ready.

Sources: fractional credit as in Papke and Wooldridge 1996 (from memory); blurred logistic: MacKay 1992 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from scoring.mastery import grid
from scoring.mastery.grid import Array
from scoring.mastery.population import Population, StandardSet

NODES = 41
REACH_SD = 4.5
"""The grid goes so many standard deviations to both sides."""
CONFIDENCE = 0.90
LEAST_MASS = 1e-8
"""A node of the grid with less of the whole than this is left out of a skill's score."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One piece of evidence, as the ledger has it."""

    skill: str
    credit: float
    """0..1."""
    difficulty_logit: float
    difficulty_sd: float
    guess_floor: float
    day: float
    """When it was answered [days since any fixed day]."""
    weight: float = 1.0
    """Share of an answer that it is, 0..1: pieces of one case repeat one another (see `weighed`)."""


@dataclass(frozen=True, slots=True)
class Belief:
    """All that some answers say, before anybody asks for a date or a cut."""

    population: Population
    skills: tuple[str, ...]
    loglik: Array
    """(S, T, D)."""
    counts: tuple[int, ...]
    last_days: tuple[float | None, ...]
    """When each skill was last practised."""
    worth: Array
    """(S, 2): what the answers on each skill are worth now, and the same with what time took of it taken twice."""


@dataclass(frozen=True, slots=True)
class Figure:
    """An expected score 0..100 with its interval, and the chance that it is at or above a cut."""

    score: float
    low: float
    high: float
    chance: float
    """Probability, 0..1."""
    count: int
    """How many answers it rests on."""


@dataclass(frozen=True, slots=True)
class Figures:
    """The overall figure and one for each skill of the standard set, on one day."""

    overall: Figure
    skills: dict[str, Figure]


@lru_cache(maxsize=32)
def nodes(population: Population) -> tuple[Array, Array, Array]:
    """eta (T, D), prior weights of the overall level (T,) and of a deviation (D,)."""
    unit = np.linspace(-REACH_SD, REACH_SD, NODES)
    prior = np.exp(-0.5 * unit * unit)
    prior /= prior.sum()
    overall = population.overall_mean_logit + population.overall_sd_logit * unit
    eta = overall[:, None] + population.deviation_sd_logit * unit[None, :]
    return np.ascontiguousarray(eta), prior, prior


def weighed(pieces: Sequence[Answered], population: Population) -> tuple[Answered, ...]:
    """The pieces of evidence of one case, each with the weight that leaves nothing counted twice.

    They were read from one answer to one case: they repeat one another in whole or in part, and share the error of the
    case's difficulty. Taken as so many answers they would make every interval too narrow.
    """
    weight = piece_weight(population, len(pieces))
    return tuple(replace(piece, weight=weight) for piece in pieces)


def piece_weight(population: Population, count: int) -> float:
    """What each of so many pieces of one case is worth, as a share of an answer: the design effect of a cluster.

    1 / (1 + (count - 1) rho), rho the share that pieces of one case repeat. Source: Kish 1965 (from memory).
    """
    return 1.0 / (1.0 + (count - 1) * population.repeated_share)


def believe(evidence: Iterable[Answered], population: Population, skills: Sequence[str]) -> Belief:
    """Fold answers, oldest first, into a belief; answers on skills that are not listed are left out."""
    _, prior, _ = nodes(population)
    place = {skill: index for index, skill in enumerate(skills)}
    loglik = np.zeros((len(skills), NODES, prior.size))
    counts = [0] * len(skills)
    last: list[float | None] = [None] * len(skills)
    worth = np.zeros((len(skills), 2))
    for one in evidence:
        s = place.get(one.skill)
        if s is None:
            continue
        take_in(loglik[s], worth[s], one, population)
        counts[s] += 1
        last[s] = one.day if last[s] is None else max(one.day, last[s] or one.day)
    return Belief(population, tuple(skills), loglik, tuple(counts), tuple(last), worth)


def take_in(loglik: Array, worth: Array, one: Answered, population: Population) -> None:
    """Add one piece of evidence to its skill's log likelihood (T, D) and worth (2,), in place; older ones fade.

    A mean of answers of weights w is as sure as (sum w)^2 / (sum w^2) answers (Kish 1965, from memory), which is more
    than sum w. So the whole is weighed up by sum w / sum w^2: without it the interval of somebody who stays
    as able as before held up to .97 instead of .90.
    """
    eta, _, _ = nodes(population)
    kept, weight = fade_in(worth, one.weight, population)
    loglik *= kept
    grid.add_answer(loglik, eta, one.credit, weight, one.difficulty_logit, one.difficulty_sd**2, one.guess_floor)


def fade_in(worth: Array, weight: float, population: Population) -> tuple[float, float]:
    """The share that is left of older answers, and what a newer one of a weight counts; ``worth`` moves in place."""
    fade = 2.0 ** (-weight / population.evidence_half_life)
    before = _scale(worth)
    worth *= (fade, fade * fade)
    worth += weight
    after = _scale(worth)
    return fade * after / before, weight * after


def _scale(worth: Array) -> float:
    return float(worth[0] / worth[1]) if worth[1] > 0.0 else 1.0


def retained(population: Population, idle_days: float) -> float:
    """Share of the gain over a novice that is left after some idle days, 0..1; 1 for days not yet gone."""
    return float(2.0 ** (-max(0.0, idle_days) / population.half_life_days))


def figures(belief: Belief, standard: StandardSet, *, on_day: float, cut: float) -> Figures:
    """Expected scores on the standard set on a day; ``cut`` is the score 0..100 that the chances are about.

    Raises KeyError when the standard set has a skill that the belief knows nothing of.
    """
    _, prior, inner = nodes(belief.population)
    weights, given, _ = grid.posterior(belief.loglik, prior, inner)
    score, spread, shares, order = expected(belief, standard, on_day)
    picked = np.ascontiguousarray(given[order])
    mean, variance = grid.score_moments(picked, score, spread)
    total = Mixture(weights, shares @ mean, (shares * shares) @ variance)
    names = standard.skills
    each = {
        name: of_skill(weights, picked[index], score[index], spread[index]).figure(cut, belief.counts[order[index]])
        for index, name in enumerate(names)
    }
    return Figures(total.figure(cut, sum(belief.counts[s] for s in order)), each)


def overall_chance(belief: Belief, standard: StandardSet, *, on_day: float, cut: float) -> float:
    """The overall chance of `figures` alone, to the last digit, without the intervals that take most of its time."""
    _, prior, inner = nodes(belief.population)
    weights, given, _ = grid.posterior(belief.loglik, prior, inner)
    score, spread, shares, order = expected(belief, standard, on_day)
    mean, variance = grid.score_moments(np.ascontiguousarray(given[order]), score, spread)
    return 1.0 - Mixture(weights, shares @ mean, (shares * shares) @ variance).below(cut / 100.0)


def expected(belief: Belief, standard: StandardSet, on_day: float) -> tuple[Array, Array, Array, list[int]]:
    """Score and added variance at the nodes (S, T, D), weight of each skill (S,), and their places in the belief."""
    eta, _, _ = nodes(belief.population)
    population = belief.population
    order = [belief.skills.index(name) if name in belief.skills else -1 for name in standard.skills]
    if -1 in order:
        raise KeyError(standard.skills[order.index(-1)])
    score, spread = np.zeros((len(order), *eta.shape)), np.zeros((len(order), *eta.shape))
    shares = np.zeros(len(order))
    for index, (name, s) in enumerate(zip(standard.skills, order, strict=True)):
        last = belief.last_days[s]
        kept = 1.0 if last is None else retained(population, on_day - last)
        now = population.novice_logit + (eta - population.novice_logit) * kept
        added = (1.0 - kept * kept) * population.novice_sd_logit**2
        flat = 1.0 / np.sqrt(1.0 + grid.BLUR * added)
        slope = np.zeros_like(eta)
        for case in standard.cases:
            if case.skill == name:
                p = 1.0 / (1.0 + np.exp(-(now - case.difficulty_logit) * flat))
                score[index] += case.weight * (case.guess_floor + (1.0 - case.guess_floor) * p)
                slope += case.weight * (1.0 - case.guess_floor) * p * (1.0 - p) * flat
                shares[index] += case.weight
        score[index] /= shares[index]
        spread[index] = added * (slope / shares[index]) ** 2
    return score, spread, shares / shares.sum(), order


def of_skill(weights: Array, given: Array, score: Array, spread: Array) -> Mixture:
    """One skill's score from weights of the overall level (T,), of deviations given it, scores, added variance (T, D).

    Each node of the grid is a narrow normal of its own, as wide as the piece that the node stands for. Scores of
    many skills add up to something near a normal at each overall level; the score of one skill is far from one near
    its ends, and taking it for one made skills look weaker than they are one time in seventeen.
    """
    mass = weights[:, None] * given
    kept = mass > LEAST_MASS
    piece = np.gradient(score, axis=1)
    return Mixture(mass[kept] / mass[kept].sum(), score[kept], (spread + piece * piece / 12.0)[kept])


@dataclass(frozen=True, slots=True)
class Mixture:
    """A score as a mixture of normals, one for each node."""

    weights: Array
    mean: Array
    variance: Array

    def below(self, value: float) -> float:
        """Probability of less than a value."""
        return float(self.weights @ ndtr((value - self.mean) / np.sqrt(self.variance + 1e-12)))

    def quantile(self, share: float) -> float:
        """The value with that much probability below it, 0..1."""
        return grid.quantile(self.weights, self.mean, np.sqrt(self.variance + 1e-12), share)

    def figure(self, cut: float, count: int) -> Figure:
        """The figure that people see, in points of 100."""
        tail = 0.5 - CONFIDENCE / 2.0
        return Figure(
            score=100.0 * float(self.weights @ self.mean),
            low=100.0 * self.quantile(tail),
            high=100.0 * self.quantile(1.0 - tail),
            chance=1.0 - self.below(cut / 100.0),
            count=count,
        )


__all__ = [
    "CONFIDENCE", "NODES", "Answered", "Belief", "Figure", "Figures", "Mixture", "believe", "expected", "fade_in",
    "figures", "nodes", "of_skill", "overall_chance", "piece_weight", "retained", "take_in", "weighed",
]  # fmt: skip
