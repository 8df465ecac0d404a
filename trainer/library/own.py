"""A firm's own kits and standards: editions like any other, seen by that firm alone.

enter_kit         a kit of the firm's, or a new edition of it
enter_standard    the house standard of the firm from a day on
kits_for          what somebody may work with: the shelf's kits and those of the firm
standard_for      the address of the standard that a person is graded by on a day
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from scoring.drill import canonical_json, content_hash
from scoring.floor.read import read_kit, read_standard
from scoring.rig.kit import Kit
from scoring.standard import Standard
from trainer.library import shelf
from trainer.library.models import Edition, KitInUse
from trainer.people.access import Visitor, firms_of
from trainer.people.models import Firm, Person

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"


def enter_kit(firm: Firm, body: Mapping[str, Any], *, by: Person, now: datetime, name: str = "") -> Edition:
    """Put a kit of the firm on the shelf; with the ``name`` of one of its kits, a new edition of that one.

    Raises FileProblems (every problem with its place), NotOnShelf for a name that is not the firm's.
    """
    if name and not Edition.objects.filter(firm=firm, what=shelf.What.KIT, name=name).exists():
        raise shelf.NotOnShelf(f"the firm has no kit named {name!r}")
    whole = {**body, "format": "levelhead-kit", "version": 1, "name": name or f"own-{_letters(10)}"}
    read_kit(canonical_json(whole).encode())
    return _put(firm, shelf.What.KIT, whole["name"], whole, None, by, now)


def checked_standard(body: Mapping[str, Any]) -> Standard:
    """The standard that a body would make. Raises FileProblems."""
    return read_standard(canonical_json({**body, "format": "levelhead-standard", "version": "to-be"}).encode())


def enter_standard(firm: Firm, body: Mapping[str, Any], *, holds_from: date, by: Person, now: datetime) -> Edition:
    """Make this the firm's house standard from a day on; the version is given here.

    Raises FileProblems, ValueError for a day that has begun: grades of a day are given under one standard.
    """
    if holds_from <= now.date():
        raise ValueError("Choose a day after today: nobody's grades change in the middle of a day.")
    number = Edition.objects.filter(firm=firm, what=shelf.What.STANDARD).count() + 1
    version = f"own-{_letters(8)}-{number}"
    whole = {**body, "format": "levelhead-standard", "version": version}
    read_standard(canonical_json(whole).encode())
    return _put(firm, shelf.What.STANDARD, version, whole, holds_from, by, now)


def kits_for(visitor: Visitor) -> list[Kit]:
    """The kits that somebody may work with: those of the files, then the firm's own."""
    own = Edition.objects.filter(what=shelf.What.KIT, current=True, firm__in=firms_of(visitor)).order_by("since")
    return [*shelf.kits(), *(shelf.kit_at(one.address) for one in own)]


def standards_of(firm: Firm) -> list[Edition]:
    """The firm's own standards, newest day first."""
    return list(Edition.objects.filter(what=shelf.What.STANDARD, firm=firm).order_by("-holds_from", "-since"))


def standard_of_firm(firm: Firm, on: date) -> tuple[Standard, str]:
    """The standard that a firm grades by on a day, and its address: its own newest one by then, else the site's."""
    own = _standard_from(firm, on)
    return shelf.house_standard() if own is None else (shelf.standard_at(own.address), own.address)


def _standard_from(firm: Firm, on: date) -> Edition | None:
    own = Edition.objects.filter(what=shelf.What.STANDARD, firm=firm, holds_from__lte=on)
    return own.order_by("-holds_from", "-since").first()


def standard_for(person: Person, on: date) -> str:
    """The address of the standard that a person is graded by on a day; "" for the site's own."""
    firm = firms_of(person).order_by("made_at").first()
    own = None if firm is None else _standard_from(firm, on)
    return "" if own is None else own.address


def put_in_use(person: Person, kit: str, now: datetime) -> None:
    """From now on the person works with this kit."""
    KitInUse.objects.update_or_create(person=person, defaults={"kit": kit, "since": now})


def kit_in_use(person: Person) -> str:
    """The name of the kit that a person works with; "" when none was given."""
    return KitInUse.objects.filter(person=person).values_list("kit", flat=True).first() or ""


def _put(
    firm: Firm, what: str, name: str, body: dict[str, Any], holds_from: date | None, by: Person, now: datetime
) -> Edition:
    with transaction.atomic():
        address = content_hash(body)
        Edition.objects.filter(what=what, name=name, current=True).exclude(address=address).update(current=False)
        edition, fresh = Edition.objects.get_or_create(
            address=address,
            defaults={
                "what": what,
                "name": name,
                "body": body,
                "since": now,
                "firm": firm,
                "holds_from": holds_from,
                "by": by,
            },
        )
        if not fresh and not edition.current:
            edition.current = True
            edition.save(update_fields=["current"])
    return edition


def _letters(count: int) -> str:
    return "".join(secrets.choice(LETTERS) for _ in range(count))


__all__ = [
    "checked_standard", "enter_kit", "enter_standard", "kit_in_use", "kits_for", "put_in_use", "standard_for",
    "standard_of_firm", "standards_of",
]  # fmt: skip
