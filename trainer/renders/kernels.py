"""Loading the compiled kernels ahead, so that the first grade and the first frame after a start are quick ones."""

from __future__ import annotations

from functools import partial

from scoring.drill import Json
from scoring.floor.kernels import compile_kernels
from scoring.floor.plan import Station
from scoring.floor.survey import survey
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.renders.darkroom import DARKROOM, LATER
from trainer.renders.exposing import expose
from trainer.renders.metering import measured_on
from trainer.renders.places import place_of
from trainer.renders.setups import NoSuchSetup, setup_of, take_json_of

SMALL_PX = 256
FAULTS = ("F1", "F6", "F9", "F16")
"""Doubling, smear, a lens that is not home, somebody who moves: between them, every kernel that any frame needs."""


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


def warm_frames() -> None:
    """Make a small frame, a heading and the numbers of the shelf's first set-up, with one fault after another; nothing
    when the shelf is empty."""
    for fault in FAULTS:
        take = _first_take(fault)
        if take is not None:
            _make_small(take)


def warm_frames_beside() -> None:
    """The same in the darkroom, while the site serves already."""
    take = _first_take(FAULTS[0])
    if take is not None:
        DARKROOM.put_in_line("warm frames", partial(_make_small, take), LATER)


def _first_take(fault: str) -> Json:
    try:
        return take_json_of(setup_of({"fault": fault}))
    except NoSuchSetup:
        return None


def _make_small(take: Json) -> bytes:
    expose(take, None, SMALL_PX, None)
    expose(take, 1, SMALL_PX, None)
    measured_on(take)
    return b""


__all__ = ["warm", "warm_frames", "warm_frames_beside"]
