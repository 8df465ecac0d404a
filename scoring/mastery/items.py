"""What a table of answers says of its cases: difficulty and slope by marginal maximum likelihood, and reliability.

    symbol  meaning                                                 shape
    P, I    people, cases (items)                                   numbers
    x       answers: 1 right, 0 wrong, nan not seen                 (P, I)
    a, b    slope and difficulty: logit(p) = a (theta - b)          (I,)
    theta   ability, standard normal                                nodes (Q,)

Source: Bock and Aitkin 1981 (EM over quadrature nodes); the prior on slopes is log-normal. Reliability: Kuder and
Richardson's formula 20, which is Cronbach's alpha for answers of 0 and 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

REACH = 6.0
LEAST = 1e-12
NEWTON_MOST = 20
STEP_MOST = 1.0


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted two-parameter (or Rasch) table."""

    slope: Array
    """(I,) per logit."""
    difficulty: Array
    """(I,) logit."""
    loglik: float
    rounds: int
    ability: Array
    """(P,) expected a posteriori."""
    ability_sd: Array
    """(P,)."""


def fit_2pl(
    answers: Array,
    *,
    node_count: int = 61,
    tolerance: float = 1e-6,
    rounds_most: int = 2000,
    slope_prior_sd: float | None = None,
    equal_slopes: bool = False,
) -> Fit:
    """Fit slopes and difficulties. ``slope_prior_sd`` is that of log slope around 0; None for none.

    With ``equal_slopes`` one slope is shared (Rasch with a free spread). Raises ValueError for cases that are `flat`.
    """  # fmt: skip
    if without := flat(answers):
        raise ValueError(f"cases {without}: everybody or nobody got them right, or nobody saw them")
    seen = ~np.isnan(answers)
    right = np.where(seen, answers, 0.0)
    shares = right.sum(axis=0) / np.maximum(1, seen.sum(axis=0))
    theta = np.linspace(-REACH, REACH, node_count)
    prior = np.exp(-0.5 * theta * theta)
    prior /= prior.sum()
    slope, shift = np.ones(answers.shape[1]), np.log(shares / (1.0 - shares))
    mask = seen.astype(float)
    before = -np.inf
    rounds = 0
    while rounds < rounds_most:
        rounds += 1
        weights, loglik = _expect(right, mask, slope, shift, theta, prior)
        tried, hits = mask.T @ weights, right.T @ weights
        slope, shift = _maximise(tried, hits, slope, shift, theta, slope_prior_sd, equal_slopes)
        if abs(loglik - before) < tolerance:
            break
        before = loglik
    weights, loglik = _expect(right, mask, slope, shift, theta, prior)
    mean = weights @ theta
    spread = np.sqrt(np.maximum(0.0, weights @ (theta * theta) - mean * mean))
    return Fit(slope, -shift / slope, loglik, rounds, mean, spread)


def flat(answers: Array) -> list[int]:
    """Columns of the cases that everybody or nobody got right, or nobody saw: they have no finite difficulty."""
    seen = ~np.isnan(answers)
    right = np.where(seen, answers, 0.0).sum(axis=0)
    return [int(i) for i in np.flatnonzero((right <= 0.0) | (right >= seen.sum(axis=0)))]


def ability_mode(answers: Array, slope: Array, difficulty: Array) -> tuple[float, float]:
    """Mode of one person's posterior under a standard normal prior, and its standard error from the curvature.

    ``answers`` (I,) of 0, 1 or nan.
    """
    seen = ~np.isnan(answers)
    a, b, x = slope[seen], difficulty[seen], answers[seen]
    theta = 0.0
    for _ in range(100):
        p = 1.0 / (1.0 + np.exp(-a * (theta - b)))
        information = float((a * a * p * (1.0 - p)).sum()) + 1.0
        step = (float((a * (x - p)).sum()) - theta) / information
        theta += max(-STEP_MOST, min(STEP_MOST, step))
        if abs(step) < LEAST:
            break
    return theta, information**-0.5


def kr20(answers: Array) -> float:
    """Kuder and Richardson's formula 20 of a full table of 0 and 1 (P, I), variances divided by n."""
    share = answers.mean(axis=0)
    count = answers.shape[1]
    variance = answers.sum(axis=1).var()
    return float(count / (count - 1) * (1.0 - (share * (1.0 - share)).sum() / variance))


def item_rest(answers: Array) -> Array:
    """Correlation of each case (I,) with the sum of the others, over people who saw all; nan where nothing varies."""
    whole = answers[~np.isnan(answers).any(axis=1)]
    out = np.full(answers.shape[1], np.nan)
    for i in range(answers.shape[1]):
        rest = whole.sum(axis=1) - whole[:, i]
        if len(whole) > 1 and whole[:, i].std() > 0.0 and rest.std() > 0.0:
            out[i] = np.corrcoef(whole[:, i], rest)[0, 1]
    return out


def _expect(right: Array, mask: Array, slope: Array, shift: Array, theta: Array, prior: Array) -> tuple[Array, float]:
    """Posterior weights of the nodes for each person (P, Q), and the log likelihood."""
    z = np.outer(slope, theta) + shift[:, None]
    log_right, log_wrong = -np.logaddexp(0.0, -z), -np.logaddexp(0.0, z)
    total = right @ log_right + (mask - right) @ log_wrong + np.log(prior)
    top = total.max(axis=1, keepdims=True)
    weights = np.exp(total - top)
    mass = weights.sum(axis=1, keepdims=True)
    return weights / mass, float((top + np.log(mass)).sum())


def _maximise(
    tried: Array, hits: Array, slope: Array, shift: Array, theta: Array, prior_sd: float | None, equal: bool
) -> tuple[Array, Array]:
    """Newton steps on every case at once: logistic regression of its expected counts on the nodes."""
    for _ in range(NEWTON_MOST):
        p = 1.0 / (1.0 + np.exp(-(np.outer(slope, theta) + shift[:, None])))
        left, bend = hits - tried * p, tried * p * (1.0 - p)
        g_shift, g_slope = left.sum(axis=1), left @ theta
        h00, h01, h11 = bend.sum(axis=1), bend @ theta, bend @ (theta * theta)
        if prior_sd is not None:
            g_slope = g_slope - np.log(slope) / (slope * prior_sd**2)
            h11 = h11 + np.maximum(0.0, 1.0 - np.log(slope)) / (slope * prior_sd) ** 2
        if equal:
            # One slope for all: eliminate the shifts, then step along the shared slope.
            step_slope = np.full_like(slope, (g_slope - h01 / h00 * g_shift).sum() / (h11 - h01 * h01 / h00).sum())
            step_shift = (g_shift - h01 * step_slope) / h00
        else:
            det = h00 * h11 - h01 * h01
            step_shift = (h11 * g_shift - h01 * g_slope) / det
            step_slope = (h00 * g_slope - h01 * g_shift) / det
        step_shift = np.clip(step_shift, -STEP_MOST, STEP_MOST)
        step_slope = np.clip(step_slope, -STEP_MOST / 2, STEP_MOST / 2)
        shift, slope = shift + step_shift, np.maximum(0.05, slope + step_slope)
        if max(np.abs(step_shift).max(), np.abs(step_slope).max()) < 1e-10:
            break
    return slope, shift


__all__ = ["Fit", "ability_mode", "fit_2pl", "flat", "item_rest", "kr20"]
