"""Kernels of the nested quadrature: likelihoods on a grid of overall level and deviation, and sums over it.

    symbol  meaning                                              shape
    T, D    nodes of the overall level, of a skill's deviation   numbers
    S       skills                                               number
    eta     overall + deviation [logit]                          (T, D)
    loglik  log likelihood of each skill's answers               (S, T, D)
    score   expected score of each skill's standard cases, 0..1  (S, T, D)

Given the overall level the skills are independent, so that each is integrated on its own, exactly, and only the
overall level is left to be summed over.
"""

from __future__ import annotations

from math import erfc, exp, log, sqrt

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEAST_CHANCE = 1e-9
HALVINGS = 50
FAR_SD = 6.0
"""Beyond so many standard deviations a normal is over: a thousand-millionth is left."""
ROOT_2 = sqrt(2.0)
BLUR = np.pi / 8.0
"""A logistic blurred by a normal of variance v is near a logistic flattened by sqrt(1 + pi v / 8)."""


@njit(cache=True, nogil=True)
def add_answer(
    loglik: Array, eta: Array, credit: float, weight: float, difficulty: float, variance: float, floor: float
) -> None:
    """Add one answer to a skill's log likelihood (T, D), in place.

    ``credit`` 0..1 enters as credit log p + (1 - credit) log (1 - p); ``variance`` is that of the difficulty.
    """
    flat = 1.0 / sqrt(1.0 + BLUR * variance)
    for i in range(eta.shape[0]):
        for j in range(eta.shape[1]):
            p = floor + (1.0 - floor) / (1.0 + exp(-(eta[i, j] - difficulty) * flat))
            p = min(1.0 - LEAST_CHANCE, max(LEAST_CHANCE, p))
            loglik[i, j] += weight * (credit * log(p) + (1.0 - credit) * log(1.0 - p))


@njit(cache=True, nogil=True)
def posterior(loglik: Array, prior_overall: Array, prior_deviation: Array) -> tuple[Array, Array, float]:
    """Posterior weights of the overall level (T,), of each deviation given it (S, T, D), and the log evidence."""
    skills, nodes, inner = loglik.shape
    given = np.empty_like(loglik)
    total = np.log(prior_overall)
    for s in range(skills):
        for i in range(nodes):
            top = loglik[s, i].max()
            mass = 0.0
            for j in range(inner):
                given[s, i, j] = prior_deviation[j] * exp(loglik[s, i, j] - top)
                mass += given[s, i, j]
            for j in range(inner):
                given[s, i, j] /= mass
            total[i] += top + log(mass)
    top = total.max()
    weights = np.exp(total - top)
    mass = weights.sum()
    return weights / mass, given, top + log(mass)


@njit(cache=True, nogil=True)
def score_moments(given: Array, score: Array, spread: Array) -> tuple[Array, Array]:
    """Mean and variance (S, T) of each skill's score given the overall level; ``spread`` adds variance at nodes."""
    skills, nodes, inner = given.shape
    mean, variance = np.zeros((skills, nodes)), np.zeros((skills, nodes))
    for s in range(skills):
        for i in range(nodes):
            first = second = 0.0
            for j in range(inner):
                w = given[s, i, j]
                value = score[s, i, j]
                first += w * value
                second += w * (value * value + spread[s, i, j])
            mean[s, i] = first
            variance[s, i] = max(0.0, second - first * first)
    return mean, variance


@njit(cache=True, nogil=True)
def quantile(weights: Array, mean: Array, sd: Array, share: float) -> float:
    """The value 0..1 with that share of a mixture of normals below it, by halving."""
    low, high = -0.5, 1.5
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        below = 0.0
        for i in range(weights.size):
            z = (middle - mean[i]) / sd[i]
            if z > FAR_SD:
                below += weights[i]
            elif z > -FAR_SD:
                below += weights[i] * 0.5 * erfc(-z / ROOT_2)
        if below < share:
            low = middle
        else:
            high = middle
    return min(1.0, max(0.0, 0.5 * (low + high)))


__all__ = ["BLUR", "add_answer", "posterior", "quantile", "score_moments"]
