"""Check kit: a trainer went through the list of the changed parts with the person, by hand, line by line."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.people.access import entered_for, people_trained_by
from trainer.people.models import Person
from trainer.roster.entry import EntryError
from trainer.roster.kit_parts import hand_list
from trainer.roster.models import KitChange, KitCheck


def check_kit(change: KitChange, *, by: Person, done: Collection[str], now: datetime) -> KitCheck:
    """Sign the list of a change; the first signature stands. ``done`` are names of lines.

    Raises PermissionDenied, EntryError while a line is open.
    """
    trained = KitChange.objects.filter(pk=change.pk, person__in=people_trained_by(by))
    if not entered_for(trained, by).exists():
        raise PermissionDenied("Only a trainer of the operator's team signs the list.")
    if not change.parts:
        raise EntryError("No part changed, so there is nothing to go through.")
    if missing := [line.words for line in hand_list(change.parts) if line.name not in done]:
        raise EntryError(f"Still open: {' '.join(missing)}")
    made, _ = KitCheck.objects.get_or_create(change=change, defaults={"by": by, "made_at": now})
    return made


__all__ = ["check_kit"]
