"""Loading the compiled kernels ahead, so that the first grade after a start is a quick one."""

from __future__ import annotations

from scoring.floor.kernels import compile_kernels
from scoring.floor.plan import Station
from scoring.floor.survey import survey
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.renders.places import place_of


def warm() -> str:
    """Call every kernel, and survey one floor of the shelf; says which, or nothing when the shelf is empty."""
    compile_kernels()
    floors, kits = shelf.names(Edition.What.FLOOR), shelf.names(Edition.What.KIT)
    if not floors or not kits:
        return ""
    place, _ = place_of(floors[0], kits[0])
    spaces = place.plan.levels[0].spaces
    everything = {f"{level}/{space.id}": 1.0 for level, one in enumerate(place.plan.levels) for space in one.spaces}
    x, y = spaces[0].outline[0]
    survey(place, [Station(level=0, x=x, y=y)], everything)
    return floors[0]


__all__ = ["warm"]
