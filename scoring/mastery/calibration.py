"""How well people know what they know: stated sureness against what came of it.

Sureness has three steps. Each step stands for a probability of full credit that is a setting; the Brier score is the
mean squared gap between that probability and the credit (Brier 1950): 0 is perfect, a constant 1/2 earns 0.25.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scoring.mastery.intervals import wilson

STEPS = (1, 2, 3)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of sureness: how often it was said, and how often it held."""

    sureness: int
    stated_share: float
    """The probability that it stands for, 0..1."""
    count: int
    right: int
    """Answers with credit of at least ``RIGHT_FROM``."""
    low_share: float
    high_share: float
    """Wilson bounds, 95 %."""

    @property
    def right_share(self) -> float:
        """Share that held; 0 when it was never said."""
        return self.right / self.count if self.count else 0.0


@dataclass(frozen=True, slots=True)
class Calibration:
    """All steps, the Brier score, and what the three steps tell apart."""

    steps: tuple[Step, ...]
    brier: float
    count: int
    lean: float
    """Mean of stated less earned: above 0 is surer than right, below 0 more right than sure."""


RIGHT_FROM = 0.8
"""Credit from which an answer counts as right where only right and wrong are told apart."""


def calibrate(said: Iterable[tuple[int, float]], stated: tuple[float, float, float]) -> Calibration:
    """Calibration of (sureness 1..3, credit 0..1) pairs; ``stated`` is the probability that each step stands for.

    Raises ValueError for another sureness.
    """
    rows = list(said)
    if strange := sorted({sureness for sureness, _ in rows} - set(STEPS)):
        raise ValueError(f"sureness has steps 1 to 3, not {strange}")
    steps = []
    for step, share in zip(STEPS, stated, strict=True):
        credits = [credit for sureness, credit in rows if sureness == step]
        right = sum(credit >= RIGHT_FROM for credit in credits)
        low, high = wilson(right, len(credits))
        steps.append(Step(step, share, len(credits), right, low, high))
    gaps = [stated[sureness - 1] - credit for sureness, credit in rows]
    count = len(rows)
    return Calibration(
        tuple(steps),
        sum(gap * gap for gap in gaps) / count if count else 0.0,
        count,
        sum(gaps) / count if count else 0.0,
    )


__all__ = ["RIGHT_FROM", "STEPS", "Calibration", "Step", "calibrate"]
