"""Change kit: from now on a person works with a kit; starred skills that hang on a changed part are due again."""

from __future__ import annotations

import uuid
from collections.abc import Collection
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from scoring.rig.kit import Kit
from trainer.library.own import kit_in_use, kits_for, put_in_use
from trainer.people.access import Visitor, people_led_by
from trainer.people.models import Person
from trainer.roster.entry import EntryError, again, in_turn, later_than
from trainer.roster.kit_parts import PARTS
from trainer.roster.models import KitChange


def newest_change(person: Person) -> KitChange | None:
    """The change of kit that came last."""
    return (
        KitChange.objects.filter(person=person).select_related("by", "check_list").order_by("-made_at", "-pk").first()
    )


def kits_between(person: Person, by: Visitor) -> list[Kit]:
    """The kits that somebody may give to a person: those that both may work with."""
    known = {kit.name for kit in kits_for(by)}
    return [kit for kit in kits_for(person) if kit.name in known]


def change_kit(
    person: Person, *, by: Person, key: uuid.UUID, kit: str, parts: Collection[str], now: datetime
) -> KitChange:
    """Enter which kit a person works with from now on, and put it in use; sent again with the key, it is done once.

    A first kit has no changed parts, a later one at least one. Raises PermissionDenied, EntryError, KeyTaken.
    """
    if not people_led_by(by).filter(pk=person.pk).exists():
        raise PermissionDenied("Only who leads the operator's team gives them a kit.")
    if kit not in {one.name for one in kits_between(person, by)}:
        raise EntryError("Choose one of the kits that the firm has.")
    if strange := sorted(set(parts) - set(PARTS)):
        raise EntryError(f"There is no part {strange[0]!r}.")
    with transaction.atomic():
        in_turn(person)
        if stored := again(KitChange.objects.all(), key, {"person": person, "by": by}):
            return stored
        last, first = newest_change(person), not kit_in_use(person)
        if first and parts:
            raise EntryError("It is their first kit: nothing has changed yet.")
        if not first and not parts:
            raise EntryError("Choose at least one part that changed.")
        made_at = later_than(last.made_at if last else None, now)
        put_in_use(person, kit, made_at)
        ordered = [part for part in PARTS if part in parts]
        return KitChange.objects.create(id=key, person=person, by=by, kit=kit, parts=ordered, made_at=made_at)


__all__ = ["change_kit", "kits_between", "newest_change"]
