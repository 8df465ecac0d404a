"""When a readiness check is over: its decision is safe, or cannot be made."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from scoring.mastery.ability import Figures
from scoring.mastery.decision import call
from scoring.mastery.readiness import Rule

Ending = Literal["ready", "not ready", "cannot be said"]


def ending(
    found: Figures, rule: Rule, count: int, *, stars: Collection[str], wanted: Collection[str], shown: Collection[str]
) -> Ending | None:
    """How a check of so many cases ends by the rule under which it began; None while it goes on.

    ``stars`` are the starred skills, ``wanted`` those that can be asked, ``shown`` those that a case was on.
    """
    if count >= rule.check_least:
        said = call(found.overall.chance, ready_at=rule.ready_chance, not_ready_at=rule.not_ready_chance)
        if said == "not ready":
            return "not ready"
        if said == "ready" and set(shown) >= set(wanted):
            figures = (figure for skill, figure in found.skills.items() if skill in stars)
            weak = any(figure.count and figure.chance <= rule.not_ready_chance for figure in figures)
            return "not ready" if weak else "ready"
    return "cannot be said" if count >= rule.check_most else None


__all__ = ["Ending", "ending"]
