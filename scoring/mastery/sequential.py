"""The rest of the ways to decide early, and to say how sure a decision is: for comparison with the posterior rule.

Sources: Wald 1945 (sequential test); Rudner 2001 (accuracy from an estimate and its error).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from scipy.special import ndtr


@dataclass(frozen=True, slots=True)
class SequentialTest:
    """Wald's sequential probability ratio test of a share: not good enough at ``low``, good enough at ``high``."""

    low_share: float
    high_share: float
    false_pass_share: float
    false_fail_share: float

    @property
    def step_right(self) -> float:
        """What a right answer adds to the log likelihood ratio."""
        return log(self.high_share / self.low_share)

    @property
    def step_wrong(self) -> float:
        """What a wrong answer adds; below 0."""
        return log((1.0 - self.high_share) / (1.0 - self.low_share))

    @property
    def bounds(self) -> tuple[float, float]:
        """At or below the first it fails, at or above the second it passes."""
        return (
            log(self.false_fail_share / (1.0 - self.false_pass_share)),
            log((1.0 - self.false_fail_share) / self.false_pass_share),
        )

    @property
    def slope(self) -> float:
        """Right answers per answer along which the decision stays open."""
        return -self.step_wrong / (self.step_right - self.step_wrong)

    def decide(self, right: int, of: int) -> bool | None:
        """True passes, False fails, None goes on."""
        ratio = right * self.step_right + (of - right) * self.step_wrong
        low, high = self.bounds
        return True if ratio >= high else False if ratio <= low else None


def chance_above(estimate: float, error: float, cut: float) -> float:
    """Probability that the truth lies above a cut, for a normal estimate with its standard error.

    >>> round(chance_above(0.5, 0.3, 0.0), 4)
    0.9522
    """
    return float(ndtr((estimate - cut) / error))


__all__ = ["SequentialTest", "chance_above"]
