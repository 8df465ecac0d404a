"""Catching up: fold every ledger entry after the cursor into records.

After an answer, by a worker, and in a rebuild from zero it is this same code, so records can always be dropped.
A void is folded by adding up that person anew from the entries up to it, in their order; so the sums come out
equal to the last digit however the ledger was cut into steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from django.db import transaction

from trainer.drills.models import Attempt, Entry
from trainer.progress.models import Cursor, Evidence, Judgement, Record, Standing

RECORDS = "records"
REDO = "redo"


def catch_up(upto: int | None = None) -> int:
    """Fold the entries after the cursor, as far as number ``upto`` if given; returns how many there were."""
    with transaction.atomic():
        Cursor.objects.get_or_create(name=RECORDS)
        cursor = Cursor.objects.select_for_update().get(name=RECORDS)
        entries = Entry.objects.filter(pk__gt=cursor.entry).order_by("pk")
        if upto is not None:
            entries = entries.filter(pk__lte=upto)
        folded = 0
        for entry in entries.select_related("attempt__answer__grade").iterator(chunk_size=500):
            _fold(entry)
            cursor.entry = entry.pk
            folded += 1
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


def _fold(entry: Entry) -> None:
    attempt = entry.attempt
    if attempt is None or attempt.person_id is None:
        return
    person = attempt.person_id
    standing, _ = Standing.objects.get_or_create(person_id=person)
    standing.folded = entry.pk
    standing.voids += entry.what == Entry.What.VOID
    standing.save(update_fields=["folded", "voids"])
    if entry.what == Entry.What.GRADE:
        # A void may have been committed between the reading of an answer and its storing.
        if not attempt.entries.filter(what=Entry.What.VOID, pk__lt=entry.pk).exists():
            _add(attempt, person, entry.pk)
    elif entry.what == Entry.What.VOID:
        for folded in (Record, Evidence, Judgement):
            folded.objects.filter(person_id=person).delete()
        for number, counted in _counted(person, entry.pk):
            _add(counted, person, number)


def _counted(person: UUID, upto: int) -> Iterator[tuple[int, Attempt]]:
    """Attempts of a person graded up to an entry and not void by then, in the order of their grades, each with the
    number of its entry."""
    person_entries = Entry.objects.filter(attempt__person_id=person, pk__lte=upto)
    void = set(person_entries.filter(what=Entry.What.VOID).values_list("attempt_id", flat=True))
    graded = person_entries.filter(what=Entry.What.GRADE).order_by("pk").select_related("attempt__answer__grade")
    for entry in graded:
        if entry.attempt is not None and entry.attempt_id not in void:
            yield entry.pk, entry.attempt


def _add(attempt: Attempt, person: UUID, entry: int) -> None:
    answer = attempt.answer
    if attempt.kind == "verdict" and "verdict" in answer.body:
        # Cases of this kind have one right verdict: who is right and said keep saw a good frame, and so on.
        redone, right = answer.body["verdict"] == REDO, answer.grade.credit >= 0.5
        Judgement.objects.create(
            person_id=person, entry=entry, faulty=redone == right, redone=redone, at=answer.received_at
        )
    for evidence in answer.grade.body["evidence"]:
        Evidence.objects.create(
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
        record, _ = Record.objects.get_or_create(
            person_id=person, skill=evidence["skill"], defaults={"last_at": answer.received_at}
        )
        record.n += 1
        record.credit_sum += evidence["credit"]
        record.last_at = answer.received_at
        record.save(update_fields=["n", "credit_sum", "last_at"])


__all__ = ["catch_up", "rebuild"]
