"""Prepared floors for surveys, and what the allowed stands of a floor can see at best, by content address."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache

from scoring import ENGINE_VERSION
from scoring.drill import content_hash
from scoring.floor.fewest import best_shares
from scoring.floor.listing import listed_stands
from scoring.floor.place import Place, prepare
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.renders.models import Result


@lru_cache(maxsize=32)
def _prepared(floor_address: str, kit_address: str, standard_address: str) -> Place:
    return prepare(shelf.plan_at(floor_address), shelf.kit_at(kit_address), shelf.standard_at(standard_address))


def place_of(floor: str, kit: str) -> tuple[Place, str]:
    """The prepared place of a floor and a kit on the shelf, and its content address. Raises NotOnShelf."""
    _, standard_address = shelf.house_standard()
    floor_address = shelf.address_of(Edition.What.FLOOR, floor)
    kit_address = shelf.address_of(Edition.What.KIT, kit)
    place = _prepared(floor_address, kit_address, standard_address)
    return place, content_hash([floor_address, kit_address, standard_address, ENGINE_VERSION])


def best_share(place: Place, address: str, now: datetime) -> Mapping[str, float]:
    """Per "level/space" the most that the listed stands together see of its floor, 0..1: stored, or computed now."""
    stored = Result.objects.filter(address=address, what="best-share").values_list("body", flat=True).first()
    if stored is not None:
        return dict(stored)
    made = place.keep(("best share",), lambda: dict(best_shares(place, listed_stands(place))))
    Result.objects.get_or_create(address=address, defaults={"what": "best-share", "body": made, "made_at": now})
    return made


__all__ = ["best_share", "place_of"]
