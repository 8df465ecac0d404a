"""What the answers of many people say of the recipes: hard or easy, telling or not, and what should be looked at.

    share   people who did well on it / people who saw it         0..1
    slope   how sharply it parts the able from the others         per logit, with a prior round 1
    rest    correlation of doing well on it with the mean of one's other recipes

A flag asks a person to look; none is raised from fewer than FLAG_FROM people. Limits: measurement, common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from scoring.mastery.items import Array, fit_2pl

FLAG_FROM = 30
SLOPE_PRIOR_SD = 0.3
"""Of the log slope: with so few people a slope without a prior is mostly noise."""
SHARE_LEAST, SHARE_MOST = 0.15, 0.95
REST_LEAST = 0.15
SPREAD_MOST_LOGIT = 0.7
SECONDS_LEAST = 3.0
Flag = Literal["too hard", "too easy", "tells little", "variants differ", "answered in no time"]


@dataclass(frozen=True, slots=True)
class Quality:
    """One recipe."""

    people: int
    share: float
    """Mean credit of the people who saw it, each counted once, 0..1."""
    slope: float | None
    """None where everybody, or nobody, did well."""
    difficulty_logit: float | None
    rest: float | None
    """None where nothing varies."""


def qualities(credit: Array, *, well_from: float) -> list[Quality]:
    """Quality of each column of a table of mean credits (P, I), nan where not seen.

    Who has at least ``well_from`` did well. Columns that everybody, or nobody, did well on have no slope.
    """
    seen = ~np.isnan(credit)
    right = np.where(seen, (credit >= well_from).astype(float), np.nan)
    counts = seen.sum(axis=0)
    sums = np.where(seen, right, 0.0).sum(axis=0)
    varied = np.flatnonzero((sums > 0) & (sums < counts))
    slopes: dict[int, tuple[float, float]] = {}
    if varied.size:
        fit = fit_2pl(right[:, varied], slope_prior_sd=SLOPE_PRIOR_SD, tolerance=1e-4, rounds_most=300)
        slopes = {int(i): (float(a), float(b)) for i, a, b in zip(varied, fit.slope, fit.difficulty, strict=True)}
    out = []
    for i in range(credit.shape[1]):
        slope, difficulty = slopes.get(i, (None, None))
        mean = float(np.nanmean(credit[:, i])) if counts[i] else 0.0
        out.append(Quality(int(counts[i]), mean, slope, difficulty, _rest(right, i)))
    return out


def _rest(right: Array, i: int) -> float | None:
    """Correlation with the mean of the other columns that each person saw."""
    others = np.delete(right, i, axis=1)
    known = ~np.isnan(right[:, i]) & (~np.isnan(others)).any(axis=1)
    if known.sum() < 3:
        return None
    rest = np.nanmean(others[known], axis=1)
    mine = right[known, i]
    if mine.std() <= 0.0 or rest.std() <= 0.0:
        return None
    return float(np.corrcoef(mine, rest)[0, 1])


def variant_spread(credits: dict[str, tuple[int, float]]) -> float | None:
    """How far apart [logit] the hardest and the easiest variant are, by (answers, mean credit) of each.

    Variants with fewer than FLAG_FROM answers are left out; None where fewer than two are left. What chance alone
    would part them by (one standard error of the difference) is taken off, so that it is no mere noise.
    """
    logits = []
    for n, mean in credits.values():
        if n >= FLAG_FROM:
            p = (mean * n + 0.5) / (n + 1.0)
            logits.append((float(np.log(p / (1.0 - p))), 1.0 / (n * p * (1.0 - p))))
    if len(logits) < 2:
        return None
    (low, low_variance), (high, high_variance) = min(logits), max(logits)
    return max(0.0, high - low - float(np.sqrt(low_variance + high_variance)))


def flags(quality: Quality, spread: float | None, seconds: float | None) -> tuple[Flag, ...]:
    """What somebody should look at; nothing from fewer than FLAG_FROM people."""
    if quality.people < FLAG_FROM:
        return ()
    found: list[Flag] = []
    if quality.share < SHARE_LEAST:
        found.append("too hard")
    if quality.share > SHARE_MOST:
        found.append("too easy")
    if quality.rest is not None and quality.rest < REST_LEAST:
        found.append("tells little")
    if spread is not None and spread > SPREAD_MOST_LOGIT:
        found.append("variants differ")
    if seconds is not None and seconds < SECONDS_LEAST:
        found.append("answered in no time")
    return tuple(found)


__all__ = ["FLAG_FROM", "Flag", "Quality", "flags", "qualities", "variant_spread"]
