"""Catching up: fold every ledger entry after the cursor into records.

After an answer, by a worker, and in a rebuild from zero it is this same code, so records can always be dropped.
Entries are folded by the thousand: the rows that they touch are read once, changed in memory and written once.
A void is folded by adding up that person anew from the entries up to it, in their order; so the sums come out
equal to the last digit however the ledger was cut into steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from trainer.drills.models import Attempt, Entry
from trainer.progress.models import Cursor, Evidence, Judgement, Record, Standing
from trainer.progress.schedule import reviewed

RECORDS = "records"
REDO = "redo"
CHUNK = 1000
READ = (
    "what", "attempt", "attempt__person", "attempt__kind", "attempt__recipe", "attempt__answer__body",
    "attempt__answer__received_at", "attempt__answer__grade__credit", "attempt__answer__grade__body",
)  # fmt: skip
"""What is read of an entry: not the task, which is most of a row."""


def catch_up(upto: int | None = None) -> int:
    """Fold the entries after the cursor, as far as number ``upto`` if given; returns how many there were."""
    with transaction.atomic():
        Cursor.objects.get_or_create(name=RECORDS)
        cursor = Cursor.objects.select_for_update().get(name=RECORDS)
        entries = _entries() if upto is None else _entries().filter(pk__lte=upto)
        folded = 0
        while chunk := list(entries.filter(pk__gt=cursor.entry)[:CHUNK]):
            _fold(chunk)
            cursor.entry = chunk[-1].pk
            folded += len(chunk)
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


def _entries() -> QuerySet[Entry]:
    return Entry.objects.order_by("pk").select_related("attempt__answer__grade").only(*READ)


@dataclass(slots=True)
class Batch:
    """Rows of some people as they are read, changed in memory, until they are written."""

    records: dict[tuple[UUID, str], Record]
    standings: dict[UUID, Standing]
    evidence: list[Evidence] = field(default_factory=list)
    judgements: list[Judgement] = field(default_factory=list)

    @classmethod
    def of(cls, people: Iterable[UUID]) -> Batch:
        """The rows of these people."""
        rows = Record.objects.filter(person__in=people)
        return cls({(row.person_id, row.skill): row for row in rows}, Standing.objects.in_bulk(list(people)))

    def write(self) -> None:
        """Write all that was changed."""
        Evidence.objects.bulk_create(self.evidence, CHUNK)
        Judgement.objects.bulk_create(self.judgements, CHUNK)
        Record.objects.bulk_create(
            self.records.values(), CHUNK, update_conflicts=True, unique_fields=["person", "skill"],
            update_fields=["n", "credit_sum", "last_at", "stability_days", "hardness", "due_at"],
        )  # fmt: skip
        Standing.objects.bulk_create(
            self.standings.values(), CHUNK, update_conflicts=True, unique_fields=["person"],
            update_fields=["folded", "voids"],
        )  # fmt: skip
        self.evidence, self.judgements = [], []

    def forget(self, person: UUID) -> None:
        """Drop everything of one person, written or not, but for how far the ledger was folded."""
        self.write()
        for folded in (Record, Evidence, Judgement):
            folded.objects.filter(person_id=person).delete()
        self.records = {key: row for key, row in self.records.items() if key[0] != person}


def _fold(chunk: list[Entry]) -> None:
    named = [(entry, entry.attempt) for entry in chunk if entry.attempt is not None and entry.attempt.person_id]
    people = {attempt.person_id for _, attempt in named}
    voids = Entry.objects.filter(what=Entry.What.VOID, attempt__in=[attempt.pk for _, attempt in named])
    voided_by: dict[UUID, int] = {}
    for attempt_id, number in voids.order_by("-pk").values_list("attempt_id", "pk"):
        voided_by[attempt_id] = number
    batch = Batch.of({person for person in people if person is not None})
    for entry, attempt in named:
        person = attempt.person_id
        assert person is not None
        standing = batch.standings.setdefault(person, Standing(person_id=person))
        standing.folded = entry.pk
        if entry.what == Entry.What.GRADE:
            # A void may have been committed between the reading of an answer and its storing.
            if voided_by.get(attempt.pk, entry.pk) >= entry.pk:
                _add(batch, attempt, person, entry.pk)
        elif entry.what == Entry.What.VOID:
            standing.voids += 1
            batch.forget(person)
            for number, counted in _counted(person, entry.pk):
                _add(batch, counted, person, number)
    batch.write()


def _counted(person: UUID, upto: int) -> Iterator[tuple[int, Attempt]]:
    """Attempts of a person graded up to an entry and not void by then, in the order of their grades, each with the
    number of its entry."""
    void = Entry.objects.filter(attempt__person_id=person, pk__lte=upto, what=Entry.What.VOID)
    left_out = set(void.values_list("attempt_id", flat=True))
    for entry in _entries().filter(attempt__person_id=person, pk__lte=upto, what=Entry.What.GRADE):
        if entry.attempt is not None and entry.attempt_id not in left_out:
            yield entry.pk, entry.attempt


def _add(batch: Batch, attempt: Attempt, person: UUID, entry: int) -> None:
    answer = attempt.answer
    if attempt.kind == "verdict" and "verdict" in answer.body:
        # Cases of this kind have one right verdict: who is right and said keep saw a good frame, and so on.
        redone, right = answer.body["verdict"] == REDO, answer.grade.credit >= 0.5
        batch.judgements.append(
            Judgement(person_id=person, entry=entry, faulty=redone == right, redone=redone, at=answer.received_at)
        )
    for evidence in answer.grade.body["evidence"]:
        batch.evidence.append(
            Evidence(
                person_id=person,
                entry=entry,
                skill=evidence["skill"],
                recipe=attempt.recipe,
                credit=evidence["credit"],
                difficulty_logit=evidence["difficulty_logit"],
                difficulty_sd=evidence["difficulty_sd"],
                guess_floor=evidence["guess_floor"],
                at=answer.received_at,
            )
        )
        key = (person, evidence["skill"])
        record = batch.records.setdefault(key, Record(person_id=person, skill=evidence["skill"]))
        record.n += 1
        record.credit_sum += evidence["credit"]
        spaced = reviewed(record.spaced, evidence["credit"], answer.received_at)
        record.last_at, record.due_at = spaced.last_at, spaced.due_at
        record.stability_days, record.hardness = spaced.stability_days, spaced.hardness


__all__ = ["catch_up", "rebuild"]
