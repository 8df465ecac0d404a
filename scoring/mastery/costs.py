"""What reshoots cost, by what went with them, with intervals that stay honest when there are few of them.

    symbol  meaning                                              unit
    n       reshoots of one cause                                count
    c_i     what each of them cost                               money
    J       jobs shot in the time that is looked at              count

    n per 100 jobs   exact Poisson interval (Garwood 1936, Biometrika 28, 437-442)
    total            gamma interval of a weighted sum of Poisson counts (Fay and Feuer 1997, Statist. Med. 16, 791-801),
                     each cost being a weight; with equal costs it is Garwood's, times the cost
    mean             t interval (Gosset 1908, Biometrika 6, 1-25), only from ``MEAN_FROM`` reshoots on

The total's interval tells what the same jobs might have cost with the same risk: it holds the chance of how many there
were as well as of how dear each was. A cause goes with a reshoot; that it was its cause is what somebody entered.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from scipy.special import gammaincinv, stdtrit

MEAN_FROM = 5
"""From fewer costs no interval of their mean is told, only the lowest and the highest; common practice, no source."""
WEIGHTS_VERSION = "weights-1"
WEIGHT_MOST = 3.0
"""What the weight of a skill tends to when every cost goes with it and there are many reshoots."""
EVEN_WORTH = 20
"""So many reshoots pull a weight half the way from 1; fewer pull less. A setting, no source."""


@dataclass(frozen=True, slots=True)
class CauseCost:
    """One cause: how often, how dear, and what that supports."""

    cause: str
    count: int
    total: float
    total_low: float
    total_high: float
    mean: float
    mean_low: float | None
    """None where there are too few to say."""
    mean_high: float | None
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Rate:
    """So many per 100 jobs, with its interval."""

    count: int
    jobs: int
    per_100: float
    low: float
    high: float


def poisson_interval(count: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """The means that a count supports: exact limits, each with half of what is left over outside.

    >>> [round(bound, 4) for bound in poisson_interval(5)]
    [1.6235, 11.6683]
    """
    if count < 0:
        raise ValueError(f"{count} is no count")
    tail = (1.0 - confidence) / 2.0
    low = float(gammaincinv(count, tail)) if count else 0.0
    return low, float(gammaincinv(count + 1, 1.0 - tail))


def rate(count: int, jobs: int, *, confidence: float = 0.95) -> Rate | None:
    """Reshoots per 100 jobs; None without jobs. A job may be shot again more than once."""
    if jobs <= 0:
        return None
    low, high = poisson_interval(count, confidence=confidence)
    return Rate(count, jobs, 100.0 * count / jobs, 100.0 * low / jobs, 100.0 * high / jobs)


def total_interval(costs: Sequence[float], *, confidence: float = 0.95) -> tuple[float, float]:
    """The totals that these costs support; (0, 0) when there are none or none cost anything.

    >>> [round(bound, 2) for bound in total_interval([10.0] * 5)]
    [16.23, 116.68]
    """
    if min(costs, default=0.0) < 0.0:
        raise ValueError("a cost is not below zero")
    total, squares, most = fsum(costs), fsum(cost * cost for cost in costs), max(costs, default=0.0)
    if total <= 0.0:
        return 0.0, 0.0
    tail = (1.0 - confidence) / 2.0
    low = squares / total * float(gammaincinv(total * total / squares, tail))
    upper, spread = total + most, squares + most * most
    return low, spread / upper * float(gammaincinv(upper * upper / spread, 1.0 - tail))


def mean_interval(costs: Sequence[float], *, confidence: float = 0.95) -> tuple[float, float] | None:
    """The mean costs that these support, never below zero; None for fewer than ``MEAN_FROM``."""
    count = len(costs)
    if count < MEAN_FROM:
        return None
    mean = fsum(costs) / count
    spread = sqrt(fsum((cost - mean) ** 2 for cost in costs) / (count - 1))
    half = float(stdtrit(count - 1, 0.5 + confidence / 2.0)) * spread / sqrt(count)
    return max(0.0, mean - half), mean + half


def by_cause(reshoots: Iterable[tuple[str, float]]) -> list[CauseCost]:
    """(cause, cost) pairs gathered, the dearest total first."""
    gathered: dict[str, list[float]] = {}
    for cause, cost in reshoots:
        gathered.setdefault(cause, []).append(cost)
    out = []
    for cause, costs in gathered.items():
        low, high = total_interval(costs)
        mean_low, mean_high = mean_interval(costs) or (None, None)
        total = fsum(costs)
        out.append(
            CauseCost(
                cause, len(costs), total, low, high, total / len(costs), mean_low, mean_high, min(costs), max(costs)
            )
        )
    return sorted(out, key=lambda one: (-one.total, -one.count, one.cause))


def drill_weights(reshoots: Iterable[tuple[str, float]], skills_of: Mapping[str, Sequence[str]]) -> dict[str, float]:
    """How strongly each skill weighs on what is drilled: {skill: weight above 1}, for those that a reshoot goes with.

        weight = 1 + (WEIGHT_MOST - 1) * share * n / (n + EVEN_WORTH)

    ``share`` is the skill's part of all costs (a cause with several skills is parted evenly, one with none counts for
    nobody; where nothing cost anything, counts stand for costs) and n the number of all reshoots. So a weight lies
    between 1 and ``WEIGHT_MOST``, and a few reshoots move it little.
    """
    rows = list(reshoots)
    if all(cost <= 0.0 for _, cost in rows):
        rows = [(cause, 1.0) for cause, _ in rows]
    whole = fsum(cost for _, cost in rows)
    parts: dict[str, list[float]] = {}
    for cause, cost in rows:
        skills = skills_of.get(cause, ())
        for skill in skills:
            parts.setdefault(skill, []).append(cost / len(skills))
    trust = len(rows) / (len(rows) + EVEN_WORTH)
    weights = {skill: 1.0 + (WEIGHT_MOST - 1.0) * fsum(part) / whole * trust for skill, part in sorted(parts.items())}
    return {skill: weight for skill, weight in weights.items() if weight > 1.0}


__all__ = [
    "EVEN_WORTH", "MEAN_FROM", "WEIGHTS_VERSION", "WEIGHT_MOST", "CauseCost", "Rate", "by_cause", "drill_weights",
    "mean_interval", "poisson_interval", "rate", "total_interval",
]  # fmt: skip
