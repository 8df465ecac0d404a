"""Compiling the numeric kernels ahead: a survey of one small place calls every one of them."""

from __future__ import annotations

from datetime import datetime, timezone

from scoring.floor.plan import Station
from scoring.floor.survey import survey
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.renders.places import best_share, place_of


def warm() -> str:
    """Survey the first floor of the shelf once; says which, or nothing when the shelf is empty."""
    floors, kits = shelf.names(Edition.What.FLOOR), shelf.names(Edition.What.KIT)
    if not floors or not kits:
        return ""
    name = "studio" if "studio" in floors else floors[0]
    place, address = place_of(name, kits[0])
    x, y = place.plan.levels[0].spaces[0].outline[0]
    survey(place, [Station(level=0, x=x, y=y)], best_share(place, address, datetime.now(timezone.utc)))
    return name


__all__ = ["warm"]
