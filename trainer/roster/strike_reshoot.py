"""Strike: take back a reshoot that was entered in error. The entry stays, and says why it counts no more."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.people.access import of_teams_led
from trainer.people.models import Person
from trainer.roster.entry import REASON_MIN, said
from trainer.roster.models import Reshoot, StruckReshoot

REASON_MAX = 300


def strike_reshoot(reshoot: Reshoot, *, by: Person, reason: str, now: datetime) -> StruckReshoot:
    """Strike a reshoot; the first reason stands. Raises PermissionDenied, EntryError without a reason."""
    if not of_teams_led(Reshoot.objects.filter(pk=reshoot.pk), by).exists():
        raise PermissionDenied("Only who leads the team takes a reshoot back.")
    why = said(reason, least=REASON_MIN, most=REASON_MAX)
    made, _ = StruckReshoot.objects.get_or_create(reshoot=reshoot, defaults={"by": by, "reason": why, "made_at": now})
    return made


__all__ = ["REASON_MAX", "strike_reshoot"]
