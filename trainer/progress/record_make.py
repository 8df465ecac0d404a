"""Make a readiness record, and take it back: the person's own act, with consent, until a day of their choice."""

from __future__ import annotations

import secrets
from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction

from trainer.drills.check_open import open_check_of
from trainer.people.models import Person
from trainer.progress.models import ReadinessRecord
from trainer.progress.record_says import says

LETTERS = "3479CDFGHJKMNPQRTVWXY"
"""None that is taken for another one (0 O 1 I L 2 Z 5 S 6 8 B are out), and no vowels, so that no words come about."""
CODE_CHARS = 16
"""Characters of a code: 16 of 21 are 70 bits."""
DAYS_LEAST, DAYS_MOST, DAYS_USUAL = 1, 180, 30
"""A record may stand for so many days; settings, no source."""
STANDING_MOST = 10
"""So many records of one person may stand at a time."""


class RecordError(ValueError):
    """The record cannot be made; the message is for people."""


def make_record(person: Person, *, by: Person, consent: bool, expires_on: date, now: datetime) -> ReadinessRecord:
    """Make a record of today's standing. Raises PermissionDenied for anybody else, RecordError in words."""
    if by.pk != person.pk:
        raise PermissionDenied("Only the person may make a record of their own standing.")
    if not consent:
        raise RecordError("Tick that whoever has the code may read the record.")
    today = now.date()
    if not today + timedelta(days=DAYS_LEAST) <= expires_on <= today + timedelta(days=DAYS_MOST):
        raise RecordError(f"Choose a last day from tomorrow to {DAYS_MOST} days from now.")
    if open_check_of(person) is not None:
        raise RecordError("A check is open. Finish it or give it up first, so that the record rests on all there is.")
    body = says(person, now)
    if not body["count"]:
        raise RecordError("Nothing has been graded yet, so there is nothing to record.")
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=person.pk)
        if standing_records(person, today) >= STANDING_MOST:
            raise RecordError(f"{STANDING_MOST} records stand already. Revoke one that nobody needs.")
        return ReadinessRecord.objects.create(
            person=person, code=new_code(), body=body, made_at=now, expires_on=expires_on
        )


def revoke(record: ReadinessRecord, *, by: Person, now: datetime) -> ReadinessRecord:
    """Take a record back, for good; taken back before, the first time stands. Raises PermissionDenied."""
    if by.pk != record.person_id:
        raise PermissionDenied("Only the person may revoke a record of their own standing.")
    ReadinessRecord.objects.filter(pk=record.pk, revoked_at__isnull=True).update(revoked_at=now, revoked_by=by)
    record.refresh_from_db()
    return record


def standing_records(person: Person, today: date) -> int:
    """How many records of a person stand."""
    return ReadinessRecord.objects.filter(person=person, revoked_at__isnull=True, expires_on__gte=today).count()


def new_code() -> str:
    """A code that nobody can guess."""
    return "".join(secrets.choice(LETTERS) for _ in range(CODE_CHARS))


def in_groups(code: str) -> str:
    """A code as it is printed: groups of four."""
    return "-".join(code[i : i + 4] for i in range(0, len(code), 4))


__all__ = [
    "CODE_CHARS", "DAYS_LEAST", "DAYS_MOST", "DAYS_USUAL", "LETTERS", "RecordError", "in_groups", "make_record",
    "new_code", "revoke",
]  # fmt: skip
