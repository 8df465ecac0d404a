"""Withdraw: what was given to somebody need not be done after all."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.people.access import entered_for, people_led_by
from trainer.people.models import Person
from trainer.roster.models import Assignment, Withdrawal


def withdraw(assignment: Assignment, *, by: Person, now: datetime) -> Withdrawal:
    """Take an assignment back; the first time stands. Raises PermissionDenied."""
    led = Assignment.objects.filter(pk=assignment.pk, person__in=people_led_by(by))
    if not entered_for(led, by).exists():
        raise PermissionDenied("Only who leads the operator's team takes a drill back.")
    made, _ = Withdrawal.objects.get_or_create(assignment=assignment, defaults={"by": by, "made_at": now})
    return made


__all__ = ["withdraw"]
