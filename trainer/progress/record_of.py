"""One person's record as the pages show it, to that person and to whoever leads them: pulled together, nothing stored.

Who may see it is decided before it is asked for (trainer/people/access.py).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from scoring.mastery.readiness import Rule
from trainer.library.rules import rules_for
from trainer.library.shelf import recipes
from trainer.library.skills import practising
from trainer.people.access import Visitor, own
from trainer.people.models import Person
from trainer.progress.cells import Cell, CellGroup, cells_of
from trainer.progress.counts import SkillCount, TimeTaken, counts_of, times_of
from trainer.progress.life import tallied
from trainer.progress.models import Record, Standing
from trainer.progress.moved import Moved, moved_of
from trainer.progress.seeing import Seeing, seeing_of
from trainer.progress.standings import Now, now_of
from trainer.progress.sureness import Sureness, sureness_of
from trainer.progress.tally import dawn

IDLE_FROM_DAYS = 7
"""From so many days on the figure of today is told beside the one of the last day with a case or an entry."""
DUE_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Today:
    """The overall figure today, after some days since the one on which the figures stand."""

    idle_days: int
    """Since the newest graded case."""
    score: float
    low: float
    high: float
    chance: float
    """Of being at the score asked for, 0..1."""


@dataclass(frozen=True, slots=True)
class RecordOf:
    """Everything that My record shows."""

    person_id: UUID
    now: Now
    rule: str
    """Version of the readiness rule."""
    set_version: str
    population: str
    """Version of what is assumed of people and cases."""
    cut_points: float
    figured_on: date | None
    """The last day with a case or an entry, on which the figures stand; None when nothing was graded."""
    today: Today | None
    groups: tuple[CellGroup, ...]
    moved: Moved | None
    seeing: Seeing
    sureness: Sureness
    counts: tuple[SkillCount, ...]
    times: tuple[TimeTaken, ...]
    due: tuple[Cell, ...]
    """The skills that are due soonest, the soonest first."""

    @property
    def chance(self) -> float:
        """Of being at the score asked for today, 0..1."""
        return self.now.chance if self.today is None else self.today.chance

    @property
    def cells(self) -> tuple[Cell, ...]:
        """All skills in the order of the map."""
        return tuple(cell for group in self.groups for cell in group.cells)


def record_of(person: Person, now: datetime, visitor: Visitor | None = None) -> RecordOf:
    """The record of one person on the day of ``now``. What is new in the ledger has to be folded before."""
    told = now_of(person, now, visitor)
    stored = Standing.objects.filter(person=person).first()
    row = stored if stored is not None and stored.n else None
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    records = list(own(Record.objects.all(), person))
    groups = cells_of(stored.skills if stored is not None else {}, told.stars, records, practising(recipes()))
    due = sorted(
        (cell for group in groups for cell in group.cells if cell.due_on is not None),
        key=lambda cell: (cell.due_on or date.max, not cell.star, cell.code),
    )
    return RecordOf(
        person_id=person.pk,
        now=told,
        rule=rule.version,
        set_version=stored.set_version if stored is not None else "",
        population=stored.population if stored is not None else "",
        cut_points=rule.cut_points,
        figured_on=row.day if row is not None else None,
        today=_today(person, row, rule, records, now.date()) if row is not None else None,
        groups=groups,
        moved=moved_of(person, row, rule, now) if row is not None else None,
        seeing=seeing_of(person),
        sureness=sureness_of(person),
        counts=counts_of(person),
        times=times_of(person),
        due=tuple(due[:DUE_SHOWN]),
    )


def _today(person: Person, row: Standing, rule: Rule, records: Iterable[Record], on: date) -> Today | None:
    if row.day is None or (on - row.day).days < IDLE_FROM_DAYS:
        return None
    newest = max((record.last_at.date() for record in records), default=row.day)
    found = tallied(person.pk, rule).figures(dawn(on)).overall
    return Today((on - newest).days, found.score, found.low, found.high, found.chance)


__all__ = ["RecordOf", "Today", "record_of"]
