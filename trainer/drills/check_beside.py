"""Sitting beside a check: a trainer says so before its first answer, and at its end whether the person answered alone.

Both are said on the trainer's own sign-in; neither alone makes a check supervised.
"""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from trainer.drills.check_case import lock
from trainer.drills.models import Answer, Check, CheckWitness
from trainer.people.access import Visitor, people_trained_by
from trainer.people.models import Person


class TooLate(Exception):
    """It can no longer be said; the message is for people."""


def checks_beside(visitor: Visitor) -> QuerySet[Check]:
    """The checks that a visitor may sit beside: those of the operators one trains, never one's own."""
    return Check.objects.filter(person__in=people_trained_by(visitor)).select_related("person", "end", "witness")


def sit_beside(check: Check, *, by: Person, now: datetime) -> Check:
    """Say that one sits beside, before the first answer. Raises PermissionDenied, CheckOver, TooLate."""
    _allowed(check, by)
    with transaction.atomic():
        lock(check)
        held = Check.objects.get(pk=check.pk)
        if held.supervised_by_id == by.pk:
            return held
        if held.supervised_by_id is not None:
            raise TooLate("Another trainer sits beside this check.")
        if Answer.objects.filter(attempt__check_case__readiness_check=check).exists():
            raise TooLate("The first case is answered already. Sit beside the next check, from its beginning.")
        held.supervised_by = by
        held.save(update_fields=["supervised_by"])
    return held


def bear_witness(check: Check, *, by: Person, alone: bool, now: datetime) -> CheckWitness:
    """Say at the end whether the person answered alone to the end; the first word stands.

    Raises PermissionDenied for whoever did not sit beside, TooLate while the check goes on.
    """
    _allowed(check, by)
    if check.supervised_by_id != by.pk:
        raise PermissionDenied("Only whoever sat beside from the beginning may say how it went.")
    if not hasattr(check, "end"):
        raise TooLate("The check goes on. Say it when the last case is answered.")
    try:
        with transaction.atomic():
            return CheckWitness.objects.create(readiness_check=check, by=by, alone=alone, made_at=now)
    except IntegrityError:
        return CheckWitness.objects.get(readiness_check=check)


def supervised(check: Check) -> bool:
    """Whether a trainer sat beside from the first case to the last, and says that nobody helped."""
    witness = CheckWitness.objects.filter(readiness_check=check).first()
    return witness is not None and witness.alone


def _allowed(check: Check, by: Person) -> None:
    if not checks_beside(by).filter(pk=check.pk).exists():
        raise PermissionDenied("Only a trainer of the operator's team may sit beside a check.")


__all__ = ["TooLate", "bear_witness", "checks_beside", "sit_beside", "supervised"]
