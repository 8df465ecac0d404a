"""Counts with their bounds: what k right of n supports, for those who want to check a figure by hand.

    symbol  meaning                      unit
    k, n    right answers, all answers   counts
    z       normal quantile of the confidence

Sources: Wilson 1927, as compared by Newcombe 1998, Statist. Med. 17, 857-872; Jeffreys' prior Beta(1/2, 1/2).
"""

from __future__ import annotations

from math import sqrt

from scipy.special import betaincc, ndtri


def wilson(right: int, of: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Wilson's score interval of a share: lower and upper bound, 0..1; (0, 1) when nothing was counted.

    >>> [round(bound, 4) for bound in wilson(81, 263)]
    [0.2553, 0.3662]
    """
    _check(right, of)
    if of == 0:
        return 0.0, 1.0
    z = float(ndtri(0.5 + confidence / 2.0))
    share, spread = right / of, z * z / of
    middle = (share + spread / 2.0) / (1.0 + spread)
    half = z * sqrt(share * (1.0 - share) / of + spread / (4.0 * of)) / (1.0 + spread)
    return max(0.0, middle - half), min(1.0, middle + half)


def wilson_at_least(right: int, of: int, *, confidence: float = 0.95) -> float:
    """The share that k of n supports one-sidedly, 0..1: "at least this, at that confidence".

    >>> round(wilson_at_least(10, 10), 2)
    0.79
    """
    return wilson(right, of, confidence=2.0 * confidence - 1.0)[0]


def chance_at_least(right: int, of: int, cut: float) -> float:
    """Probability that the true share is at or above ``cut``, under Jeffreys' prior.

    >>> round(chance_at_least(18, 20, 0.8), 3)
    0.873
    """
    _check(right, of)
    return float(betaincc(right + 0.5, of - right + 0.5, cut))


def _check(right: int, of: int) -> None:
    if not 0 <= right <= of:
        raise ValueError(f"{right} right of {of}")


__all__ = ["chance_at_least", "wilson", "wilson_at_least"]
