"""Erase: cut every link from the ledger to a person, remove the person, and append that it was done."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from trainer.drills.ledger import enter
from trainer.drills.models import Attempt, Entry, Void
from trainer.people.models import Person


def erase(person: Person, now: datetime) -> Entry:
    """Erase a person, which is a right. What was computed stays, with nobody's name on it."""
    with transaction.atomic():
        Attempt.objects.filter(person=person).update(person=None)
        Void.objects.filter(by=person).update(by=None)
        person.delete()
        return enter(Entry.What.ERASURE, None, now)


__all__ = ["erase"]
