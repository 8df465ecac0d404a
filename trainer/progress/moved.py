"""What moved since the last visit, or in the last week where that visit was less than a week ago.

The figures before are computed again from the evidence that was there then, by the same model; those after are the
stored ones. Both are of the last graded day before their moment, so idle days alone move nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from scoring.mastery.ability import Answered, believe, figures
from scoring.mastery.population import STARTING
from scoring.mastery.readiness import Rule, State
from trainer.library.skills import skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.history import Told, fold, sinking_days, state_on
from trainer.progress.life import ground, life_of
from trainer.progress.models import DaySet, Evidence, Standing
from trainer.progress.standing import cases_of, standard_set

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
    """The state by the rule at that moment; empty when it is the same today."""
    state_after: str
    """The state by the rule today."""
    skills: tuple[Move, ...]
    """Those that moved most, the largest move first."""
    others: int
    """Further skills that moved."""


def moved_of(person: Person, row: Standing, rule: Rule, now: datetime) -> Moved:
    """What moved for a person up to ``now``; ``row`` is the standing as it is stored."""
    since, visit = _since(person, now)
    old: list[Answered] = []
    counts: Counter[str] = Counter()
    new = 0
    for case in cases_of(own(Evidence.objects.all(), person)):
        if case.at < since:
            old.extend(case.pieces)
        else:
            counts.update(piece.skill for piece in case.pieces)
            new += 1
    before, known = None, {}
    if old and counts:
        standard = standard_set()
        found = figures(
            believe(old, STARTING, standard.skills), standard, on_day=max(one.day for one in old), cut=rule.cut_points
        )  # fmt: skip
        before = found.overall.score
        known = {skill: figure.score for skill, figure in found.skills.items() if figure.count}
    moves = _moves(counts, known, row.skills)
    left, state = _states(person, row, rule, since, now)
    return Moved(
        since=since,
        visit=visit,
        cases=new,
        before=before,
        after=row.score,
        state_before=left if left != state else "",
        state_after=state,
        skills=tuple(moves[:SHOWN]),
        others=max(0, len(moves) - SHOWN),
    )


def _since(person: Person, now: datetime) -> tuple[datetime, bool]:
    """The last visit on a day before this one, where it is a week ago or more; else a week ago."""
    visit = own(DaySet.objects.filter(day__lt=now.date()), person).order_by("-day").first()
    if visit is not None and visit.made_at <= now - WEEK:
        return visit.made_at, True
    return now - WEEK, False


def _states(person: Person, row: Standing, rule: Rule, since: datetime, now: datetime) -> tuple[State, State]:
    """The states at a moment and today. What was before it is told again where today's state is younger than that."""
    today = state_on(Told(row.state, row.since), row.due_on, row.lapsed_on, now.date())  # type: ignore[arg-type]
    if today.since is None or today.since < since.date():
        return today.state, today.state
    history = fold((event for event in life_of(person.pk) if event.at < since), ground(rule))
    return state_on(history.told, *sinking_days(history), since.date()).state, today.state


def _moves(counts: Mapping[str, int], known: Mapping[str, float], kept: Mapping[str, Any]) -> list[Move]:
    moves = [
        Move(skill_name(code), known.get(code), kept[code]["score"], cases)
        for code, cases in counts.items()
        if code in kept and "score" in kept[code]
    ]
    told = [move for move in moves if move.before is None or abs(move.points) >= MOVED_FROM_POINTS]
    return sorted(told, key=lambda move: (move.before is None, -abs(move.points), move.name))


__all__ = ["MOVED_FROM_POINTS", "Move", "Moved", "moved_of"]
