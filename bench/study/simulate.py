"""Simulated operators of known ability, measured by the rule, against what is true of them.

Truth of one operator: overall level and a deviation for each skill, normal; a drill's difficulty is normal too and
known only with an error. "Ready" in truth is an expected score on the standard set at or above the cut; *clear* means
more than five points from it. Whatever a world varies (learning, clusters, carelessness ...) the rule knows nothing of.

The loop is compiled, so that it runs tens of thousands of people. It takes the grid, what answers add and what scores
are worth from `scoring.mastery`, and a test holds every call and figure of it to what the shipped functions say of the
same answers (`agree.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import erfc, exp

import numpy as np
from numba import njit

from scoring.mastery import grid
from scoring.mastery.ability import LEAST_MASS, believe, expected, nodes
from scoring.mastery.grid import Array
from scoring.mastery.population import STARTING, Population, StandardCase, StandardSet

SKILLS = 24
MEAN, SD, DEVIATION_SD = 1.6, 0.9, 0.7
DIFFICULTY_SD, KNOWN_TO = 0.7, 0.3
CUT, CLEAR = 0.80, 0.05
REGRESSED = DIFFICULTY_SD**2 / (DIFFICULTY_SD**2 + KNOWN_TO**2)
"""What is left of a measured difficulty when it is taken for what it is: a measurement among drills of known spread.
Without it, choosing drills by their measured difficulty is choosing by its error."""
CUT_LOGIT = 1.386
"""Where somebody at the cut stands: a drill of this difficulty tells most about who is above and who below."""
KNOWN = replace(STARTING, version="study-1", overall_mean_logit=MEAN, overall_sd_logit=SD)
"""Believed in the study: what ships, but for the level of the people, which is the true one here."""
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
    half_life_days: float = KNOWN.half_life_days
    """True half-life of a gain over a novice; the rule believes in 195 days."""
    drifting: bool = False
    """Whether idle skills go their own ways besides, as far as the rule believes."""
    believed: Population = KNOWN
    """What the rule believes of people."""


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
    answers: Array = field(repr=False)
    """(operators, drills, 3): skill, credit, difficulty as it is believed; only when asked for, -1 where none came."""


@njit(cache=True, nogil=True)
def _score(eta: float, guess: float, cases: Array) -> float:
    total = 0.0
    for b in cases:
        total += guess + (1.0 - guess) / (1.0 + exp(-(eta - b)))
    return total / cases.size


@njit(cache=True, nogil=True)
def _skill_sums(loglik: Array, prior: Array, score: Array, spread: Array) -> tuple[Array, Array, Array]:
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
            second += w * (score[i, j] * score[i, j] + spread[i, j])
        marginal[i] = top + np.log(mass)
        mean[i] = first / mass
        variance[i] = max(0.0, second / mass - mean[i] * mean[i])
    return marginal, mean, variance


@njit(cache=True, nogil=True)
def _below(weights: Array, mean: Array, variance: Array, value: float) -> float:
    total = 0.0
    for i in range(weights.size):
        total += weights[i] * 0.5 * erfc((mean[i] - value) / np.sqrt(2.0 * (variance[i] + 1e-12)))
    return total


@njit(cache=True, nogil=True)
def _quantile(weights: Array, mean: Array, variance: Array, share: float) -> float:
    found: float = grid.quantile(weights, mean, np.sqrt(variance + 1e-12), share)
    return found


@njit(cache=True, nogil=True)
def _nodes_of(weights: Array, loglik: Array, prior: Array, score: Array, spread: Array) -> tuple[Array, Array, Array]:
    """Weight, score and variance of the nodes of one skill that hold something, as `ability.of_skill` has them."""
    nodes, inner = loglik.shape
    mass, mean, variance = np.empty(nodes * inner), np.empty(nodes * inner), np.empty(nodes * inner)
    given = np.empty(inner)
    kept = 0
    for i in range(nodes):
        given[:] = prior * np.exp(loglik[i] - loglik[i].max())
        given /= given.sum()
        for j in range(inner):
            if weights[i] * given[j] > LEAST_MASS:
                before, after = max(0, j - 1), min(inner - 1, j + 1)
                piece = (score[i, after] - score[i, before]) / (after - before)
                mass[kept] = weights[i] * given[j]
                mean[kept], variance[kept] = score[i, j], spread[i, j] + piece * piece / 12.0
                kept += 1
    return mass[:kept] / mass[:kept].sum(), mean[:kept], variance[:kept]


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
    spread: Array,
    asked: Array,
    asked_spread: Array,
    fading: float,
    choose_of: int,
    kept: float,
    drift: float,
    novice: float,
    learning: float,
    cluster: float,
    slope_sd: float,
    partial: bool,
    broken: float,
    careless: float,
    guess: float,
    remember: bool,
) -> tuple[Array, Array, Array]:
    """Run ``count`` operators. Returns (count, 5) overall rows, (count, S, 4) skill rows and what was answered.

    ``score`` and ``spread`` are the score and its added variance at the nodes while drills are done, ``asked`` and
    ``asked_spread`` on the day that is asked about, ``kept`` the true share of a gain left then. ``fading`` is what an
    answer is worth after the next one on its skill.
    """
    np.random.seed(seed)
    skills = SKILLS
    nodes = eta.shape[0]
    overall_rows, skill_rows = np.empty((count, 5)), np.empty((count, skills, 4))
    answers = np.full((count if remember else 1, most, 3), -1.0)
    blank = np.zeros((nodes, prior.size))
    blank_marginal, blank_mean, blank_variance = _skill_sums(blank, prior, score, spread)
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
        stale = np.zeros(skills, np.bool_)
        once, twice = np.zeros(skills), np.zeros(skills)
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
            before = once[s] / twice[s] if twice[s] > 0.0 else 1.0
            once[s], twice[s] = once[s] * fading + 1.0, twice[s] * fading * fading + 1.0
            after = once[s] / twice[s]
            loglik[s] *= fading * after / before
            grid.add_answer(loglik[s], eta, credit, after, known, REGRESSED * KNOWN_TO * KNOWN_TO, guess)
            ability[s] += learning
            if remember:
                answers[person, drills] = np.array([float(s), credit, known])
            drills += 1
            stale[s] = True
            if drills < least:
                continue
            for k in range(skills):
                if stale[k]:
                    marginal[k], mean[k], variance[k] = _skill_sums(loglik[k], prior, score, spread)
                    stale[k] = False
            total = log_prior + marginal.sum(axis=0)
            weights = np.exp(total - total.max())
            weights /= weights.sum()
            m, v = mean.sum(axis=0) / skills, variance.sum(axis=0) / (skills * skills)
            chance = 1.0 - _below(weights, m, v, CUT)
            if chance >= ready_at or chance <= 1.0 - ready_at:
                break
        if kept < 1.0:
            for s in range(skills):
                ability[s] = novice + (ability[s] - novice) * kept + drift * np.random.normal()
                if twice[s] > 0.0:
                    marginal[s], mean[s], variance[s] = _skill_sums(loglik[s], prior, asked, asked_spread)
            m, v = mean.sum(axis=0) / skills, variance.sum(axis=0) / (skills * skills)
            chance = 1.0 - _below(weights, m, v, CUT)
        truth = 0.0
        for s in range(skills):
            skill_rows[person, s, 0] = _score(ability[s], guess, cases)
            truth += skill_rows[person, s, 0] / skills
            # A skill that was never practised is as it is believed to be of anybody.
            now, more = (asked, asked_spread) if twice[s] > 0.0 else (score, spread)
            mass, middle, wide = _nodes_of(weights, loglik[s], prior, now, more)
            skill_rows[person, s, 1] = 1.0 - _below(mass, middle, wide, CUT)
            skill_rows[person, s, 2] = _quantile(mass, middle, wide, 0.05)
            skill_rows[person, s, 3] = _quantile(mass, middle, wide, 0.95)
        overall_rows[person] = np.array(
            [truth, chance, _quantile(weights, m, v, 0.05), _quantile(weights, m, v, 0.95), float(drills)]
        )
    return overall_rows, skill_rows, answers


def run(
    world: World,
    *,
    seed: int,
    count: int,
    least: int,
    most: int,
    ready_at: float,
    choose_of: int = 1,
    remember: bool = False,
) -> Rows:
    """Simulate operators in a world: from ``least`` to ``most`` drills each, stopped when the call is clear.

    With ``least`` equal to ``most`` everybody does the same number. Of ``choose_of`` drills on a skill the one is given
    that is believed to be nearest the cut; with 1 it is a random one.
    """
    believed = world.believed
    eta, prior, _ = nodes(believed)
    kept = 2.0 ** (-world.idle_days / world.half_life_days)
    drift = believed.novice_sd_logit * (1.0 - kept * kept) ** 0.5 if world.drifting else 0.0
    overall, skill, answers = _simulate(
        seed, count, least, most, ready_at, eta, prior, np.array(CASES), *worth(world, 0.0),
        *worth(world, world.idle_days), 2.0 ** (-1.0 / believed.evidence_half_life), choose_of, kept, drift,
        believed.novice_logit, world.learning_logit, world.cluster_share, world.slope_sd, world.partial,
        world.broken_share, world.careless_share, world.guess, remember,
    )  # fmt: skip
    return Rows(*overall.T, *(skill[:, :, k] for k in range(4)), answers)


def worth(world: World, idle_days: float) -> tuple[Array, Array]:
    """A skill's expected score and its added variance at the nodes (T, D) after some idle days, as shipped."""
    one = StandardSet(
        format="levelhead-standard-set",
        version="study",
        title="The standard cases of one skill",
        cases=tuple(standard_cases("A2", world)),
    )
    blank = replace(believe((), world.believed, ("A2",)), last_days=(0.0,))
    score, spread, _, _ = expected(blank, one, idle_days)
    return score[0], spread[0]


def standard_cases(skill: str, world: World) -> list[StandardCase]:
    """The cases of one skill in the study's standard set."""
    return [
        StandardCase(
            recipe=f"{skill.lower()}-{k}", skill=skill, difficulty_logit=b, guess_floor=world.guess, weight=1.0
        )
        for k, b in enumerate(CASES)
    ]


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
