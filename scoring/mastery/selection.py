"""What practising a skill today is worth: whether it is due, weak where it matters, and how much it would tell.

worth = due + weak + telling            each 0..1, weighted
due      how far past its day a skill is, on the scale of its own interval
weak     for starred skills, the chance of not being at the cut
telling  how much one more answer would narrow the skill's figure
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import Literal

from scoring.mastery.ability import Figure

Reason = Literal["due", "weak", "telling", "new"]

WEIGHTS = {"due": 1.0, "weak": 0.8, "telling": 0.5}
NEW_WORTH = 0.9
"""A skill never practised yet: as pressing as one that is nearly due."""
STAR_MORE = 1.25
TARGET_SHARE = 0.8
"""Expected success that keeps practice neither dull nor hopeless; common practice, no source."""
SPREAD_WIDEST = 60.0
"""An interval this wide (in points) tells next to nothing."""


@dataclass(frozen=True, slots=True)
class SkillState:
    """What is known of one skill of one person, today."""

    figure: Figure
    star: bool
    overdue_share: float | None
    """Days past its day over its interval (0: due today, 1: a whole interval late); None when never practised."""


def worth(state: SkillState) -> tuple[float, Reason]:
    """How much practising a skill today is worth, and what speaks for it most."""
    if state.overdue_share is None:
        value, reason = NEW_WORTH, "new"
    else:
        parts = {
            "due": WEIGHTS["due"] * _due(state.overdue_share),
            "weak": WEIGHTS["weak"] * (1.0 - state.figure.chance) * float(state.star),
            "telling": WEIGHTS["telling"] * min(1.0, (state.figure.high - state.figure.low) / SPREAD_WIDEST),
        }
        reason = max(parts, key=parts.__getitem__)
        value = sum(parts.values())
    return value * (STAR_MORE if state.star else 1.0), reason  # type: ignore[return-value]


def _due(overdue_share: float) -> float:
    """0 well before its day, a half on it, near 1 a whole interval late."""
    return 1.0 / (1.0 + exp(-4.0 * overdue_share))


__all__ = ["TARGET_SHARE", "Reason", "SkillState", "worth"]
