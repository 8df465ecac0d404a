"""Simulated operators of known ability, measured by the rule, against what is true of them.

Truth of one operator: overall level and a deviation for each skill, normal; a drill's difficulty is normal too and
known only with an error. "Ready" in truth is an expected score on the standard set at or above the cut; *clear* means
more than five points from it. Whatever a world varies (learning, clusters, carelessness ...) the rule knows nothing of.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp

import numpy as np
from numba import njit

from scoring.mastery import grid
from scoring.mastery.ability import NODES, REACH_SD
from scoring.mastery.grid import Array

SKILLS = 24
MEAN, SD, DEVIATION_SD = 1.6, 0.9, 0.7
DIFFICULTY_SD, KNOWN_TO = 0.7, 0.3
CUT, CLEAR = 0.80, 0.05
REGRESSED = DIFFICULTY_SD**2 / (DIFFICULTY_SD**2 + KNOWN_TO**2)
"""What is left of a measured difficulty when it is taken for what it is: a measurement among drills of known spread.
Without it, choosing drills by their measured difficulty is choosing by its error."""
CUT_LOGIT = 1.386
"""Where somebody at the cut stands: a drill of this difficulty tells most about who is above and who below."""
NOVICE, BELIEVED_HALF_LIFE_DAYS = 0.0, 195.0
CASES = (-0.8573, 0.0, 0.8573)
"""Difficulties of each skill's standard cases: three of equal weight with the spread of the drills."""


@dataclass(frozen=True, slots=True)
class World:
    """How simulated people are, beyond what the rule assumes."""

    name: str
    learning_logit: float = 0.0
    """Gain in a skill with every drill on it."""
    cluster_share: float = 0.0
    """Share of the deviations' variance that four clusters of six skills have in common."""
    slope_sd: float = 0.0
    """Standard deviation of the log slope of drills."""
    partial: bool = False
    """Credits between 0 and 1 instead of right and wrong."""
    broken_share: float = 0.0
    """Share of drills whose difficulty is known wrongly by two logits."""
    careless_share: float = 0.0
    """Share of operators of whom one answer in seven is a slip."""
    guess: float = 0.0
    """Guessing floor, known to the rule."""
    idle_days: float = 0.0
    """Days without practice between the last drill and the day that is asked about."""
    half_life_days: float = 195.0
    """True half-life of a gain over a novice; the rule believes in 195 days."""


@dataclass(frozen=True, slots=True)
class Rows:
    """What came of all operators of a run; one entry for each."""

    truth: Array = field(repr=False)
    """Expected score at the end, 0..1."""
    chance: Array = field(repr=False)
    low: Array = field(repr=False)
    high: Array = field(repr=False)
    drills: Array = field(repr=False)
    skill_truth: Array = field(repr=False)
    """(operators, skills)."""
    skill_chance: Array = field(repr=False)
    skill_low: Array = field(repr=False)
    skill_high: Array = field(repr=False)


@njit(cache=True, nogil=True)
def _score(eta: float, guess: float, cases: Array) -> float:
    total = 0.0
    for b in cases:
        total += guess + (1.0 - guess) / (1.0 + exp(-(eta - b)))
    return total / cases.size


@njit(cache=True, nogil=True)
def _skill_sums(loglik: Array, prior: Array, score: Array) -> tuple[Array, Array, Array]:
    """Log marginal, mean and variance of the score for one skill, given each overall level (T,)."""
    nodes, inner = loglik.shape
    marginal, mean, variance = np.empty(nodes), np.empty(nodes), np.empty(nodes)
    for i in range(nodes):
        top = loglik[i].max()
        mass = first = second = 0.0
        for j in range(inner):
            w = prior[j] * exp(loglik[i, j] - top)
            mass += w
            first += w * score[i, j]
            second += w * score[i, j] * score[i, j]
        marginal[i] = top + np.log(mass)
        mean[i] = first / mass
        variance[i] = max(0.0, second / mass - mean[i] * mean[i])
    return marginal, mean, variance


@njit(cache=True, nogil=True)
def _normal(z: float) -> float:
    return 0.5 * (1.0 + np.sign(z) * (1.0 - _tail(abs(z))))


@njit(cache=True, nogil=True)
def _tail(z: float) -> float:
    """Two-sided normal tail (Abramowitz and Stegun 7.1.26, error below 1.5e-7)."""
    x = z / np.sqrt(2.0)
    t = 1.0 / (1.0 + 0.3275911 * x)
    poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    return poly * exp(-x * x)


@njit(cache=True, nogil=True)
def _below(weights: Array, mean: Array, variance: Array, value: float) -> float:
    total = 0.0
    for i in range(weights.size):
        total += weights[i] * _normal((value - mean[i]) / np.sqrt(variance[i] + 1e-12))
    return total


@njit(cache=True, nogil=True)
def _quantile(weights: Array, mean: Array, variance: Array, share: float) -> float:
    low, high = -0.5, 1.5
    for _ in range(30):
        middle = 0.5 * (low + high)
        if _below(weights, mean, variance, middle) < share:
            low = middle
        else:
            high = middle
    return min(1.0, max(0.0, 0.5 * (low + high)))


@njit(cache=True, nogil=True)
def _simulate(
    seed: int,
    count: int,
    least: int,
    most: int,
    ready_at: float,
    eta: Array,
    prior: Array,
    cases: Array,
    score: Array,
    asked: Array,
    choose_of: int,
    kept: float,
    learning: float,
    cluster: float,
    slope_sd: float,
    partial: bool,
    broken: float,
    careless: float,
    guess: float,
) -> tuple[Array, Array]:
    """Run ``count`` operators. Returns (count, 5) overall rows and (count, S, 4) skill rows.

    ``asked`` is the score at the nodes on the day that is asked about, ``kept`` the true share of a gain left then.
    """
    np.random.seed(seed)
    skills = SKILLS
    nodes = eta.shape[0]
    overall_rows, skill_rows = np.empty((count, 5)), np.empty((count, skills, 4))
    blank = np.zeros((nodes, prior.size))
    blank_marginal, blank_mean, blank_variance = _skill_sums(blank, prior, score)
    log_prior = np.log(prior)
    for person in range(count):
        level = MEAN + SD * np.random.normal()
        group = np.random.normal(0.0, 1.0, 4)
        ability = np.empty(skills)
        for s in range(skills):
            own = np.random.normal()
            ability[s] = level + DEVIATION_SD * (np.sqrt(cluster) * group[s % 4] + np.sqrt(1.0 - cluster) * own)
        slips = np.random.random() < careless
        loglik = np.zeros((skills, nodes, prior.size))
        marginal, mean, variance = np.empty((skills, nodes)), np.empty((skills, nodes)), np.empty((skills, nodes))
        for s in range(skills):
            marginal[s], mean[s], variance[s] = blank_marginal, blank_mean, blank_variance
        order = np.random.permutation(skills)
        drills = 0
        weights, chance = prior, 0.5
        m, v = np.zeros(nodes), np.zeros(nodes)
        while drills < most:
            if drills % skills == 0:
                order = np.random.permutation(skills)
            s = order[drills % skills]
            b = known = 0.0
            for draw in range(choose_of):
                drawn = DIFFICULTY_SD * np.random.normal()
                believed = REGRESSED * (drawn + KNOWN_TO * np.random.normal())
                if draw == 0 or abs(believed - CUT_LOGIT) < abs(known - CUT_LOGIT):
                    b, known = drawn, believed
            if np.random.random() < broken:
                known += 2.0 if np.random.random() < 0.5 else -2.0
            slope = exp(slope_sd * np.random.normal())
            p = guess + (1.0 - guess) / (1.0 + exp(-slope * (ability[s] - b)))
            if slips and np.random.random() < 1.0 / 7.0:
                p = guess
            if partial:
                # Half of the credit hangs on one decision, the rest on four small ones.
                credit = 0.5 * (1.0 if np.random.random() < p else 0.0)
                for _ in range(4):
                    credit += 0.125 * (1.0 if np.random.random() < p else 0.0)
            else:
                credit = 1.0 if np.random.random() < p else 0.0
            grid.add_answer(loglik[s], eta, credit, 1.0, known, REGRESSED * KNOWN_TO * KNOWN_TO, guess)
            ability[s] += learning
            drills += 1
            marginal[s], mean[s], variance[s] = _skill_sums(loglik[s], prior, score)
            if drills < least:
                continue
            total = log_prior + marginal.sum(axis=0)
            weights = np.exp(total - total.max())
            weights /= weights.sum()
            m, v = mean.sum(axis=0) / skills, variance.sum(axis=0) / (skills * skills)
            chance = 1.0 - _below(weights, m, v, CUT)
            if chance >= ready_at or chance <= 1.0 - ready_at:
                break
        if kept < 1.0:
            for s in range(skills):
                ability[s] = NOVICE + (ability[s] - NOVICE) * kept
                marginal[s], mean[s], variance[s] = _skill_sums(loglik[s], prior, asked)
            m, v = mean.sum(axis=0) / skills, variance.sum(axis=0) / (skills * skills)
            chance = 1.0 - _below(weights, m, v, CUT)
        truth = 0.0
        for s in range(skills):
            skill_rows[person, s, 0] = _score(ability[s], guess, cases)
            truth += skill_rows[person, s, 0] / skills
            skill_rows[person, s, 1] = 1.0 - _below(weights, mean[s], variance[s], CUT)
            skill_rows[person, s, 2] = _quantile(weights, mean[s], variance[s], 0.05)
            skill_rows[person, s, 3] = _quantile(weights, mean[s], variance[s], 0.95)
        overall_rows[person] = np.array(
            [truth, chance, _quantile(weights, m, v, 0.05), _quantile(weights, m, v, 0.95), float(drills)]
        )
    return overall_rows, skill_rows


def run(world: World, *, seed: int, count: int, least: int, most: int, ready_at: float, choose_of: int = 1) -> Rows:
    """Simulate operators in a world: from ``least`` to ``most`` drills each, stopped when the call is clear.

    With ``least`` equal to ``most`` everybody does the same number. Of ``choose_of`` drills on a skill the one is given
    that is believed to be nearest the cut; with 1 it is a random one.
    """
    unit = np.linspace(-REACH_SD, REACH_SD, NODES)
    prior = np.exp(-0.5 * unit * unit)
    prior /= prior.sum()
    eta = np.ascontiguousarray((MEAN + SD * unit)[:, None] + (DEVIATION_SD * unit)[None, :])
    cases = np.array(CASES)
    believed = NOVICE + (eta - NOVICE) * 2.0 ** (-world.idle_days / BELIEVED_HALF_LIFE_DAYS)
    overall, skill = _simulate(
        seed, count, least, most, ready_at, eta, prior, cases, _expected(score_of=eta, world=world),
        _expected(score_of=believed, world=world), choose_of, 2.0 ** (-world.idle_days / world.half_life_days),
        world.learning_logit, world.cluster_share, world.slope_sd, world.partial, world.broken_share,
        world.careless_share, world.guess,
    )  # fmt: skip
    return Rows(*overall.T, *(skill[:, :, k] for k in range(4)))


def _expected(score_of: Array, world: World) -> Array:
    """Expected score on a skill's standard cases at some abilities."""
    out: Array = np.mean([world.guess + (1.0 - world.guess) / (1.0 + np.exp(-(score_of - b))) for b in CASES], axis=0)
    return out


def summary(rows: Rows) -> dict[str, float]:
    """The figures of a run: shares rightly called, clear of the cut, intervals that hold, calibration."""
    ready = rows.truth >= CUT
    called = rows.chance >= 0.5
    clear = np.abs(rows.truth - CUT) > CLEAR
    skill_ready = rows.skill_truth >= CUT
    skill_right = (rows.skill_chance >= 0.5) == skill_ready
    skill_clear = np.abs(rows.skill_truth - CUT) > CLEAR
    said_ready = rows.chance >= 0.90
    return {
        "drills": float(rows.drills.mean()),
        "right": float((called == ready).mean()),
        "clear": float((called == ready)[clear].mean()),
        "holds": float(((rows.low <= rows.truth) & (rows.truth <= rows.high)).mean()),
        "bias": float(rows.chance.mean() - ready.mean()),
        "false ready": float((~ready[said_ready]).mean()) if said_ready.any() else 0.0,
        "skill right": float(skill_right.mean()),
        "skill clear": float(skill_right[skill_clear].mean()),
        "skill holds": float(((rows.skill_low <= rows.skill_truth) & (rows.skill_truth <= rows.skill_high)).mean()),
        "calibration": calibration_error(rows.skill_chance.ravel(), skill_ready.ravel()),
    }


def calibration_error(chance: Array, ready: Array, bins: int = 10) -> float:
    """Mean gap between stated chance and share that is true, over equal bins, weighted by how often they occur."""
    which = np.minimum(bins - 1, (chance * bins).astype(int))
    gaps = [
        abs(chance[which == k].mean() - ready[which == k].mean()) * (which == k).mean()
        for k in range(bins)
        if (which == k).any()
    ]
    return float(sum(gaps))
