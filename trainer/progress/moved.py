"""What moved since the last visit, or in the last week where that visit was less than a week ago.

The figures before are computed again from the evidence that was there then, by the same model; those after are the
stored ones. Both are of the last graded day before their moment, so idle days alone move nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from scoring.mastery.ability import Answered, believe, figures
from scoring.mastery.population import STARTING
from trainer.library.skills import skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import DaySet, Evidence, Standing
from trainer.progress.standing import standard_set
from trainer.progress.tally import day_of

WEEK = timedelta(days=7)
MOVED_FROM_POINTS = 2.0
"""A skill's figure that moved by less is as it was."""
SHOWN = 6


@dataclass(frozen=True, slots=True)
class Move:
    """One skill that was practised since and whose figure moved."""

    name: str
    before: float | None
    """Expected score 0..100; None where nothing was known of the skill."""
    after: float
    cases: int
    """New cases on it."""

    @property
    def points(self) -> float:
        """By so many points, up or down; the whole figure where it is new."""
        return self.after - (self.before or 0.0)


@dataclass(frozen=True, slots=True)
class Moved:
    """What changed since a moment."""

    since: datetime
    visit: bool
    """Whether the moment is that of the last visit; else it is a week ago."""
    cases: int
    """Graded cases since."""
    before: float | None
    """The overall expected score before, 0..100; None where there was no evidence."""
    after: float
    state_before: str
    """The state that was left since; empty when it is the same."""
    skills: tuple[Move, ...]
    """Those that moved most, the largest move first."""
    others: int
    """Further skills that moved."""


def moved_of(person: Person, row: Standing, cut: float, now: datetime) -> Moved:
    """What moved for a person up to ``now``; ``row`` is the standing as it is stored."""
    since, visit = _since(person, now)
    rows = own(Evidence.objects.all(), person).order_by("entry", "skill")
    fields = ("skill", "credit", "difficulty_logit", "difficulty_sd", "guess_floor", "at", "entry")
    old: list[Answered] = []
    counts: dict[str, int] = {}
    entries: set[int] = set()
    for skill, credit, difficulty, spread, floor, at, entry in rows.values_list(*fields).iterator(chunk_size=2000):
        if at < since:
            old.append(Answered(skill, credit, difficulty, spread, floor, day_of(at)))
        else:
            counts[skill] = counts.get(skill, 0) + 1
            entries.add(entry)
    before, known = None, {}
    if old and counts:
        standard = standard_set()
        found = figures(
            believe(old, STARTING, standard.skills), standard, on_day=max(one.day for one in old), cut=cut
        )  # fmt: skip
        before = found.overall.score
        known = {skill: figure.score for skill, figure in found.skills.items() if figure.count}
    moves = _moves(counts, known, row.skills)
    left = row.since is not None and row.since >= since.date() and row.before != row.state
    return Moved(
        since=since,
        visit=visit,
        cases=len(entries),
        before=before,
        after=row.score,
        state_before=row.before if left else "",
        skills=tuple(moves[:SHOWN]),
        others=max(0, len(moves) - SHOWN),
    )


def _since(person: Person, now: datetime) -> tuple[datetime, bool]:
    """The last visit on a day before this one, where it is a week ago or more; else a week ago."""
    visit = own(DaySet.objects.filter(day__lt=now.date()), person).order_by("-day").first()
    if visit is not None and visit.made_at <= now - WEEK:
        return visit.made_at, True
    return now - WEEK, False


def _moves(counts: Mapping[str, int], known: Mapping[str, float], kept: Mapping[str, Any]) -> list[Move]:
    moves = [
        Move(skill_name(code), known.get(code), kept[code]["score"], cases)
        for code, cases in counts.items()
        if code in kept and "score" in kept[code]
    ]
    told = [move for move in moves if move.before is None or abs(move.points) >= MOVED_FROM_POINTS]
    return sorted(told, key=lambda move: (move.before is None, -abs(move.points), move.name))


__all__ = ["MOVED_FROM_POINTS", "Move", "Moved", "moved_of"]
