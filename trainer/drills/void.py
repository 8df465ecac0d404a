"""Void: say that an attempt does not count, and why. The attempt, its answer and its grade stay as they are."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from trainer.drills.ledger import enter
from trainer.drills.models import Attempt, Entry, Void
from trainer.people.access import followed
from trainer.people.models import Person


class AlreadyVoid(Exception):
    """The attempt was voided before; the first reason stands."""


def void(attempt: Attempt, *, by: Person, reason: str, now: datetime) -> Void:
    """Void an attempt of an operator of a team that ``by`` leads, never one's own.

    Raises PermissionDenied, AlreadyVoid, ValueError without a reason.
    """
    if not reason.strip():
        raise ValueError("say why it does not count")
    if attempt.person_id == by.pk or not followed(Attempt.objects.filter(pk=attempt.pk), by).exists():
        raise PermissionDenied("Only someone who leads the operator's team may void an attempt.")
    try:
        with transaction.atomic():
            made = Void.objects.create(attempt=attempt, by=by, reason=reason.strip(), made_at=now)
            enter(Entry.What.VOID, attempt, now)
    except IntegrityError:
        raise AlreadyVoid("This attempt was voided before.") from None
    return made


__all__ = ["AlreadyVoid", "void"]
