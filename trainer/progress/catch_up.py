"""Catching up: fold every ledger entry after the cursor into records.

After an answer, by a worker, and in a rebuild from zero it is this same code, so records can always be dropped.
Entries are read by the thousand and of each only what is folded; records stay in memory until many were touched, and
are written once. A void is folded by adding up that person anew from the entries up to it, in their order; so the sums
come out equal to the last digit however the ledger was cut into steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from trainer.drills.models import Entry
from trainer.progress.models import Cursor, Evidence, Judgement, Record, Standing
from trainer.progress.schedule import reviewed

RECORDS = "records"
REDO = "redo"
CHUNK = 1000
HELD_MOST = 60_000
"""Records in memory before they are written and forgotten."""


class Folded(NamedTuple):
    """What is read of an entry: not the task nor the marks, which are most of it."""

    number: int
    what: str
    attempt: UUID
    person: UUID
    kind: str
    recipe: str
    verdict: str | None
    at: datetime
    credit: float
    evidence: list[dict[str, Any]]


READ = (
    "pk", "what", "attempt_id", "attempt__person_id", "attempt__kind", "attempt__recipe",
    "attempt__answer__body__verdict", "attempt__answer__received_at", "attempt__answer__grade__credit",
    "attempt__answer__grade__body__evidence",
)  # fmt: skip
"""Where the fields of `Folded` stand."""


def catch_up(upto: int | None = None) -> int:
    """Fold the entries after the cursor, as far as number ``upto`` if given; returns how many there were."""
    with transaction.atomic():
        Cursor.objects.get_or_create(name=RECORDS)
        cursor = Cursor.objects.select_for_update().get(name=RECORDS)
        entries = Entry.objects.order_by("pk") if upto is None else Entry.objects.order_by("pk").filter(pk__lte=upto)
        folded, batch = 0, Batch()
        while numbers := list(entries.filter(pk__gt=cursor.entry).values_list("pk", flat=True)[:CHUNK]):
            batch.fold(list(_read(entries.filter(pk__gt=cursor.entry, pk__lte=numbers[-1]))))
            cursor.entry = numbers[-1]
            folded += len(numbers)
        batch.write()
        if folded:
            cursor.save(update_fields=["entry"])
    return folded


def rebuild() -> int:
    """Drop the records and fold the whole ledger again."""
    with transaction.atomic():
        for folded in (Record, Evidence, Judgement, Standing):
            folded.objects.all().delete()
        Cursor.objects.filter(name=RECORDS).delete()
        return catch_up()


def _read(entries: QuerySet[Entry]) -> Iterator[Folded]:
    """Entries that are somebody's: of whom was erased nothing is folded."""
    return (Folded(*row) for row in entries.filter(attempt__person__isnull=False).values_list(*READ))


@dataclass(slots=True)
class Batch:
    """Rows of some people as they are read, changed in memory, until they are written."""

    records: dict[UUID, dict[str, Record]] = field(default_factory=dict)
    """By person and skill."""
    standings: dict[UUID, Standing] = field(default_factory=dict)
    touched: set[tuple[UUID, str]] = field(default_factory=set)
    """Records that differ from what is stored."""
    evidence: list[Evidence] = field(default_factory=list)
    judgements: list[Judgement] = field(default_factory=list)

    def fold(self, entries: list[Folded]) -> None:
        """Take entries in, in their order, with all evidence written at the end."""
        self._know({entry.person for entry in entries})
        voids = Entry.objects.filter(what=Entry.What.VOID, attempt__in=[entry.attempt for entry in entries])
        voided_by = dict(voids.order_by("-pk").values_list("attempt_id", "pk"))
        for entry in entries:
            standing = self.standings[entry.person]
            standing.folded = entry.number
            if entry.what == Entry.What.GRADE:
                # A void may have been committed between the reading of an answer and its storing.
                if voided_by.get(entry.attempt, entry.number) >= entry.number:
                    self._add(entry)
            elif entry.what == Entry.What.VOID:
                standing.voids += 1
                self._forget(entry.person)
                for counted in _counted(entry.person, entry.number):
                    self._add(counted)
        Evidence.objects.bulk_create(self.evidence, CHUNK)
        Judgement.objects.bulk_create(self.judgements, CHUNK)
        self.evidence, self.judgements = [], []

    def write(self) -> None:
        """Write every record and standing that was changed."""
        Record.objects.bulk_create(
            [self.records[person][skill] for person, skill in self.touched], CHUNK,
            update_conflicts=True, unique_fields=["person", "skill"],
            update_fields=["n", "credit_sum", "last_at", "stability_days", "hardness", "due_at"],
        )  # fmt: skip
        Standing.objects.bulk_create(
            self.standings.values(), CHUNK, update_conflicts=True, unique_fields=["person"],
            update_fields=["folded", "voids"],
        )  # fmt: skip
        self.records, self.standings, self.touched = {}, {}, set()

    def _know(self, people: Iterable[UUID]) -> None:
        """Read the rows of people that are not in memory yet."""
        if sum(map(len, self.records.values())) > HELD_MOST:
            self.write()
        new = [person for person in people if person not in self.records]
        self.records.update((person, {}) for person in new)
        for row in Record.objects.filter(person__in=new):
            self.records[row.person_id][row.skill] = row
        stored = Standing.objects.in_bulk(new)
        self.standings.update((person, stored.get(person) or Standing(person_id=person)) for person in new)

    def _forget(self, person: UUID) -> None:
        """Drop everything of one person, written or not, but for how far the ledger was folded."""
        for stored in (Record, Evidence, Judgement):
            stored.objects.filter(person_id=person).delete()
        self.records[person] = {}
        self.touched = {key for key in self.touched if key[0] != person}
        self.evidence = [row for row in self.evidence if row.person_id != person]
        self.judgements = [row for row in self.judgements if row.person_id != person]

    def _add(self, entry: Folded) -> None:
        if entry.kind == "verdict" and entry.verdict is not None:
            # Cases of this kind have one right verdict: who is right and said keep saw a good frame, and so on.
            redone, right = entry.verdict == REDO, entry.credit >= 0.5
            self.judgements.append(
                Judgement(
                    person_id=entry.person, entry=entry.number, faulty=redone == right, redone=redone, at=entry.at
                )
            )
        of_person = self.records[entry.person]
        for one in entry.evidence:
            skill, credit = one["skill"], one["credit"]
            self.evidence.append(
                Evidence(
                    person_id=entry.person, entry=entry.number, skill=skill, recipe=entry.recipe, credit=credit,
                    difficulty_logit=one["difficulty_logit"], difficulty_sd=one["difficulty_sd"],
                    guess_floor=one["guess_floor"], at=entry.at,
                )
            )  # fmt: skip
            record = of_person.get(skill)
            if record is None:
                record = of_person[skill] = Record(person_id=entry.person, skill=skill)
            record.n += 1
            record.credit_sum += credit
            spaced = reviewed(record.spaced, credit, entry.at)
            record.last_at, record.due_at = spaced.last_at, spaced.due_at
            record.stability_days, record.hardness = spaced.stability_days, spaced.hardness
            self.touched.add((entry.person, skill))


def _counted(person: UUID, upto: int) -> Iterator[Folded]:
    """Entries of a person's grades up to a number, of attempts that are not void by then, in their order."""
    void = Entry.objects.filter(attempt__person_id=person, pk__lte=upto, what=Entry.What.VOID)
    left_out = set(void.values_list("attempt_id", flat=True))
    graded = Entry.objects.filter(attempt__person_id=person, pk__lte=upto, what=Entry.What.GRADE).order_by("pk")
    return (entry for entry in _read(graded) if entry.attempt not in left_out)


__all__ = ["catch_up", "rebuild"]
