"""What ended a state of ready: each part of the rule that no longer held on the day it sank, and what it was before.

    facts on the day of sinking  --rule-->  what ends ready  --figures before, changed parts-->  causes

They are found once, on that day, and kept beside the state: what is missing later may be something else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime
from typing import Any

from scoring.mastery.ability import Figures
from scoring.mastery.readiness import Gap, State
from trainer.progress.tally import DAY_S, Tally


@dataclass(frozen=True, slots=True)
class Cause:
    """One part of the rule that no longer held."""

    what: str
    """As of a gap, or "idle"."""
    skill: str
    """Code of the skill it is about; empty when it is about none."""
    found: float
    asked: float
    """The limit of the rule that it passed."""
    before: float | None = None
    """The same chance before, 0..1; None where it is about no chance."""
    before_on: date | None = None
    """The day of the last graded case, where days without one did it; None where the entries of the day itself did."""
    parts: tuple[str, ...] = ()
    """The parts of the kit that changed that day and that it hangs on."""


def ended(
    tally: Tally, moment: float, state: State, *, at_dawn: Figures | None = None, changed: Collection[str] = ()
) -> tuple[Cause, ...]:
    """The causes of a state that begins at a moment; empty for any but due and lapsed.

    ``at_dawn`` are the figures before the cases of that day, where there were any: else it is days that did it.
    ``changed`` are the parts of the kit that changed that day.
    """
    if state not in {"due", "lapsed"} or tally.newest is None:
        return ()
    earlier = at_dawn or tally.figures(tally.newest)
    newest = datetime.fromtimestamp(tally.newest * DAY_S, UTC).date()
    parts = {star.code: star.kit_parts & set(changed) for star in tally.ground.stars}

    def cause(gap: Gap) -> Cause:
        before: float | None = None
        if gap.what == "overall":
            before = earlier.overall.chance
        elif gap.what == "star-not-ready":
            before = earlier.skills[gap.skill].chance
        on = newest if gap.what == "idle" or (before is not None and at_dawn is None) else None
        touched: Iterable[str] = ()
        if gap.what == "star-count":
            touched = parts[gap.skill]
        elif gap.what == "kit-list":
            touched = set().union(*parts.values())
        return Cause(gap.what, gap.skill, gap.found, gap.asked, before, on, tuple(sorted(touched)))

    return tuple(cause(gap) for gap in tally.ends(moment, state))


def as_stored(causes: Iterable[Cause]) -> list[dict[str, Any]]:
    """Causes as JSON."""
    return [
        {**asdict(one), "before_on": None if one.before_on is None else one.before_on.isoformat()} for one in causes
    ]


def from_stored(rows: Iterable[dict[str, Any]]) -> tuple[Cause, ...]:
    """The same causes again."""
    return tuple(
        Cause(
            **{
                **row,
                "before_on": None if row["before_on"] is None else date.fromisoformat(row["before_on"]),
                "parts": tuple(row["parts"]),
            }
        )
        for row in rows
    )


__all__ = ["Cause", "as_stored", "ended", "from_stored"]
