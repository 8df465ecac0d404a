"""The skills of one person as a map: every skill of the seven groups, what can be said of it, and its figure.

stored standing + starred skills of today  -->  cells by group, each with a state in words
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from trainer.library.skills import group_names, skill_map
from trainer.progress.models import Record
from trainer.progress.standings import StarNow

Says = Literal["ready", "not ready", "not enough evidence", "not practised", "shown", "not shown", "no drill"]

WORDS: dict[Says, str] = {
    "ready": "Ready",
    "not ready": "Not ready",
    "not enough evidence": "Not enough evidence",
    "not practised": "Not practised",
    "shown": "Shown on a shoot",
    "not shown": "A signed shoot has to show it",
    "no drill": "No drill yet",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One skill: its state, and its expected score 0..100 with the 90 % interval where anything is known."""

    code: str
    name: str
    star: bool
    says: Says
    more: int | None
    """About so many more cases settle it four times of five; 0 or None when no number is known to."""
    count: int
    """Graded cases that the figure rests on."""
    since_change: int | None
    """Of these, so many count since the kit changed; None where all of them do."""
    score: float
    low: float
    high: float
    newest_on: date | None
    due_on: date | None
    """When it is best practised again; None before the first case."""

    @property
    def words(self) -> str:
        """The state in words, with what would settle it."""
        if self.says == "not enough evidence" and self.more:
            return f"{WORDS[self.says]}: about {self.more} more case{'' if self.more == 1 else 's'}"
        return WORDS[self.says]

    @property
    def measured(self) -> bool:
        """Whether there is a figure to show."""
        return self.count > 0


@dataclass(frozen=True, slots=True)
class CellGroup:
    """The skills of one group."""

    code: str
    name: str
    cells: tuple[Cell, ...]


def cells_of(
    kept: Mapping[str, Any], stars: Mapping[str, StarNow], records: Iterable[Record], drilled: Iterable[str]
) -> tuple[CellGroup, ...]:
    """The whole map. ``kept`` are a standing's skills as stored, ``drilled`` the skills that some drill practises."""
    by_skill = {record.skill: record for record in records}
    practised = set(drilled)
    groups = []
    for group, name in group_names().items():
        cells = tuple(
            _cell(code, kept.get(code), stars.get(code), by_skill.get(code), code in practised)
            for code in skill_map()
            if code.startswith(group)
        )
        groups.append(CellGroup(group, name, cells))
    return tuple(groups)


def _cell(code: str, kept: Any, star: StarNow | None, record: Record | None, drilled: bool) -> Cell:
    skill = skill_map()[code]
    score, low, high, count, since_change = 0.0, 0.0, 100.0, 0, None
    says: Says = "not practised" if drilled else "no drill"
    more: int | None = None
    if kept is not None and "shown" in kept:
        says = "shown" if kept["shown"] else "not shown"
    elif kept is not None and kept["count"]:
        score, low, high, count = kept["score"], kept["low"], kept["high"], kept["count"]
        since_change = kept["counted"] if kept["counted"] != count else None
        says, more = (star.call, star.more) if star is not None else (kept["call"], kept["more"])
    elif kept is None and skill["star"] and not drilled:
        says = "not shown"
    return Cell(
        code=code,
        name=skill["name"],
        star=skill["star"],
        says=says,
        more=more,
        count=count,
        since_change=since_change,
        score=score,
        low=low,
        high=high,
        newest_on=record.last_at.date() if record is not None else None,
        due_on=record.due_at.date() if record is not None and record.due_at is not None else None,
    )


__all__ = ["WORDS", "Cell", "CellGroup", "Says", "cells_of"]
