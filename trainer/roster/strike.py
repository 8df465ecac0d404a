"""Strike: take back an observed shoot that was entered in error. The entry stays, and says why it counts no more."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.people.access import entered_for, people_trained_by
from trainer.people.models import Person
from trainer.roster.entry import REASON_MIN, said
from trainer.roster.models import ObservedShoot, Struck

REASON_MAX = 300


def strike(shoot: ObservedShoot, *, by: Person, reason: str, now: datetime) -> Struck:
    """Strike a shoot; the first reason stands. Raises PermissionDenied, EntryError without a reason."""
    trained = ObservedShoot.objects.filter(pk=shoot.pk, person__in=people_trained_by(by))
    if not entered_for(trained, by).exists():
        raise PermissionDenied("Only a trainer of the operator's team takes a watched shoot back.")
    why = said(reason, least=REASON_MIN, most=REASON_MAX)
    made, _ = Struck.objects.get_or_create(shoot=shoot, defaults={"by": by, "reason": why, "made_at": now})
    return made


__all__ = ["REASON_MAX", "strike"]
