"""How far two people who saw the same thing agree: the plain share with its bounds, and what chance leaves of it.

    symbol    meaning                                                       unit
    p_o       share of pairs that agree                                     0..1
    p_e       share that would agree if each said so by their own habit     0..1
    kappa     (p_o - p_e) / (1 - p_e)                                       <= 1

Source: Cohen 1960, Educ. Psychol. Meas. 20, 37-46 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.mastery.intervals import wilson


@dataclass(frozen=True, slots=True)
class Agreement:
    """Agreement of pairs of yes and no."""

    pairs: int
    agreed: int
    low: float
    """Wilson bounds of the share that agrees, 95 %."""
    high: float
    kappa: float | None
    """None where nothing is left for chance to explain: nobody ever said otherwise, or there are no pairs."""

    @property
    def share(self) -> float:
        """Of the pairs that agree; 0 without any."""
        return self.agreed / self.pairs if self.pairs else 0.0


def agreement(pairs: Sequence[tuple[bool, bool]]) -> Agreement:
    """Agreement over pairs of what the first and the second said.

    >>> found = agreement([(True, True)] * 20 + [(True, False)] * 5 + [(False, True)] * 10 + [(False, False)] * 15)
    >>> round(found.kappa, 2)
    0.4
    """
    n = len(pairs)
    agreed = sum(first == second for first, second in pairs)
    low, high = wilson(agreed, n)
    kappa = None
    if n:
        first, second = (sum(pair[place] for pair in pairs) / n for place in (0, 1))
        by_chance = first * second + (1.0 - first) * (1.0 - second)
        kappa = (agreed / n - by_chance) / (1.0 - by_chance) if by_chance < 1.0 else None
    return Agreement(n, agreed, low, high, kappa)


__all__ = ["Agreement", "agreement"]
