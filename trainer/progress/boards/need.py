"""The order of the Team board: who can be sent alone, then who is nearest to it, then who waits for a person's word.

    can be sent alone   ready, or sent by a named person's decision     who is due soonest first
    not yet             everybody else                                  who is nearest to ready first, whom no number of
                                                        cases is promised last
    held                by a named person                               by name

Nothing here looks at a score: the board is no ranking of people.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal
from uuid import UUID

from trainer.progress.standings import KEPT_MOST, Now
from trainer.progress.why import is_promised, least_cases, minutes, together

Group = Literal["alone", "not yet", "held"]
GROUPS: tuple[Group, ...] = ("alone", "not yet", "held")
SHOOT_CASES = 24
"""A shoot to watch weighs like so many cases when it is asked who is nearest: about half an hour of two people."""

UNPROMISED_CASES = 1_000
"""Whom no number of cases is promised to bring to ready comes after those whom one is."""
SHOWN = 2
"""So many things that are missing are named on the board, and the number of the rest."""


@dataclass(frozen=True, slots=True)
class Need:
    """One person on the board: where, and what it takes."""

    now: Now
    group: Group
    cases: int
    """Graded cases that ready takes at least; to begin with, where no number is promised."""
    promised: bool
    """Whether so many are enough four times of five."""
    shoot: bool
    """Whether a signed shoot is missing, wholly or for some skill."""

    @property
    def minutes(self) -> int:
        """About how long the cases take."""
        return minutes(self.cases)

    @property
    def short(self) -> str:
        """What makes the state, or what it takes, in a line; the person's own page has both in full."""
        now = self.now
        if self.group == "held":
            return f"“{now.held_reason}”"
        if now.state == "ready":
            return f"Stands until {on_day(now.due_on)} without practice" if now.due_on else "Stands"
        ended = f"{now.ended_line}. " if now.ended_line else ""
        words = together(now.gaps)
        if not words:
            return f"{ended}One graded case brings it up to date"
        if len(words) > SHOWN + 1:
            words = [*words[:SHOWN], f"{len(words) - SHOWN} things more"]
        listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
        return f"{ended}Needs {listed}"


def on_day(day: date) -> str:
    """A day in words."""
    return f"{day.day} {day:%b %Y}"


_needs: dict[UUID, Need] = {}
"""The last need of each person: a Now is kept while nothing changes, and then so is what follows from it."""


def need_of(now: Now) -> Need:
    """What one person needs."""
    kept = _needs.get(now.person_id)
    if kept is not None and kept.now is now:
        return kept
    if len(_needs) >= KEPT_MOST:
        _needs.clear()
    _needs[now.person_id] = made = _need_of(now)
    return made


def _need_of(now: Now) -> Need:
    group: Group = "not yet"
    if now.state == "held":
        group = "held"
    elif now.state == "ready" or now.sent_until is not None:
        group = "alone"
    shoot = any(gap.what == "shoot" for gap in now.gaps)
    return Need(now, group, least_cases(now.gaps), is_promised(now.gaps), shoot)


def by_need(people: Iterable[Now]) -> list[Need]:
    """Everybody in the order of the board."""
    return sorted((need_of(one) for one in people), key=_place)


def _place(need: Need) -> tuple[int, int, str, str]:
    now = need.now
    within = 0
    if need.group == "alone":
        last = min(day for day in (now.due_on, now.sent_until, date.max) if day is not None)
        within = last.toordinal()
    elif need.group == "not yet":
        within = need.cases + SHOOT_CASES * need.shoot
        within += (0 if need.promised else UNPROMISED_CASES) + (0 if now.count else 10_000)
    return GROUPS.index(need.group), within, now.name.casefold(), str(now.person_id)


__all__ = ["GROUPS", "Group", "Need", "by_need", "need_of"]
