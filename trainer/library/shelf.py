"""Putting scenarios on the shelf, and taking what a task is made of from it, typed.

    files --take_in--> editions (by content hash) --basis--> recipe + plan + kit + standard

An edition is checked when it is taken in and when it is read back, by the same readers; a typed value is kept
in the process under its address, which stands for its content.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.conf import settings
from django.db import transaction

from scoring import ENGINE_VERSION
from scoring.drill import Recipe, canonical_json, content_hash
from scoring.floor.plan import Plan
from scoring.floor.read import read_kit, read_plan, read_recipe, read_standard
from scoring.rig.kit import Kit
from scoring.standard import Standard
from trainer.library.at_hand import on_shelf, put_back
from trainer.library.files import Scenarios
from trainer.library.models import Edition

What = Edition.What

FORMATS = {
    "levelhead-recipe": What.RECIPE,
    "levelhead-floor": What.FLOOR,
    "levelhead-kit": What.KIT,
    "levelhead-standard": What.STANDARD,
}
"""Forms that the shelf keeps every edition of; the skill map is read from its file."""


class NotOnShelf(LookupError):
    """There is no current edition of that name; the message is for people."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One checked file on its way to the shelf."""

    what: str
    name: str
    body: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Basis:
    """All that a variation is made of, but for the seed."""

    recipe: Recipe
    plan: Plan
    kit: Kit
    standard: Standard
    standard_address: str
    address: str
    """Content address of the whole basis, engine included: variations of one address differ by seed alone."""


def entries_of(scenarios: Scenarios) -> list[Entry]:
    """The entries of a folder that was read whole."""
    return [Entry(FORMATS[form], name, body) for (form, name), body in scenarios.bodies.items() if form in FORMATS]


def take_in(entries: Iterable[Entry], now: datetime) -> int:
    """Make these the current editions, and nothing else; returns how many of them are new contents."""
    wanted = {content_hash(entry.body): entry for entry in entries}
    with transaction.atomic():
        on_shelf = set(Edition.objects.filter(current=True, firm__isnull=True).values_list("address", flat=True))
        Edition.objects.filter(address__in=on_shelf - wanted.keys()).update(current=False)
        known = set(Edition.objects.filter(address__in=wanted).values_list("address", flat=True))
        Edition.objects.filter(address__in=(wanted.keys() & known) - on_shelf).update(current=True)
        fresh = [
            Edition(address=address, what=entry.what, name=entry.name, body=entry.body, since=now)
            for address, entry in wanted.items()
            if address not in known
        ]
        Edition.objects.bulk_create(fresh)
    put_back()
    return len(fresh)


def names(what: str) -> list[str]:
    """Names of the current editions of one form that come from the files, in order."""
    return list(on_shelf(what))


def recipes() -> list[Recipe]:
    """Every recipe on the shelf, by name."""
    return [recipe_at(edition.address) for edition in _current(What.RECIPE).order_by("name")]


def floors() -> list[Plan]:
    """Every floor that comes from the files, by name."""
    return [plan_at(address) for address in on_shelf(What.FLOOR).values()]


def kits() -> list[Kit]:
    """Every kit that comes from the files, by name."""
    return [kit_at(address) for address in on_shelf(What.KIT).values()]


def floor(name: str) -> Plan:
    """The floor of that name. Raises NotOnShelf."""
    return plan_at(address_of(What.FLOOR, name))


def kit(name: str) -> Kit:
    """The kit of that name. Raises NotOnShelf."""
    return kit_at(address_of(What.KIT, name))


def house_standard() -> tuple[Standard, str]:
    """The standard in force and its address: the one that the settings name, else the latest version."""
    if settings.HOUSE_STANDARD:
        address = address_of(What.STANDARD, settings.HOUSE_STANDARD)
    else:
        found = on_shelf(What.STANDARD)
        if not found:
            raise NotOnShelf("no house standard has been taken in yet")
        address = found[max(found, key=_version_order)]
    return standard_at(address), address


def basis(recipe_name: str, *, kit: str = "", standard_address: str = "") -> Basis:
    """What a variation of that recipe is made of today: with another kit than its own, or by a firm's own standard,
    where they are named. Raises NotOnShelf."""
    recipe_address = address_of(What.RECIPE, recipe_name)
    recipe = recipe_at(recipe_address)
    floor_address, kit_address = address_of(What.FLOOR, recipe.floor), address_of(What.KIT, kit or recipe.kit)
    address = standard_address or house_standard()[1]
    return Basis(
        recipe=recipe,
        plan=plan_at(floor_address),
        kit=kit_at(kit_address),
        standard=standard_at(address),
        standard_address=address,
        address=content_hash([recipe_address, floor_address, kit_address, address, ENGINE_VERSION]),
    )


def _current(what: str) -> Any:
    return Edition.objects.filter(what=what, current=True)


def address_of(what: str, name: str) -> str:
    """The content address of the current edition of that name. Raises NotOnShelf."""
    address = on_shelf(what).get(name) or _current(what).filter(name=name).values_list("address", flat=True).first()
    if address is None:
        raise NotOnShelf(f"there is no {what} named {name!r}")
    return str(address)


def _version_order(name: str) -> list[tuple[int, str]]:
    """Numbers in a version count as numbers: house-10 comes after house-9."""
    return [(int(part), "") if part.isdigit() else (-1, part) for part in re.findall(r"\d+|\D+", name)]


def _bytes_at(address: str) -> bytes:
    return canonical_json(Edition.objects.values_list("body", flat=True).get(address=address)).encode()


@lru_cache(maxsize=64)
def recipe_at(address: str) -> Recipe:
    """The recipe under that address, current or not."""
    return read_recipe(_bytes_at(address))


@lru_cache(maxsize=64)
def plan_at(address: str) -> Plan:
    """The floor under that address, current or not."""
    return read_plan(_bytes_at(address))


@lru_cache(maxsize=64)
def kit_at(address: str) -> Kit:
    """The kit under that address, current or not."""
    return read_kit(_bytes_at(address))


@lru_cache(maxsize=16)
def standard_at(address: str) -> Standard:
    """The house standard under that address, current or not."""
    return read_standard(_bytes_at(address))


__all__ = [
    "Basis", "Entry", "NotOnShelf", "What", "address_of", "basis", "entries_of", "floor", "house_standard", "kit",
    "kit_at", "names", "plan_at", "recipe_at", "recipes", "standard_at", "take_in",
]  # fmt: skip
