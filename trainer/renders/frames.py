"""Frames on request: from the whole cause of a take to an encoded picture, kept by content address.

    take + what + part --address--> cabinet (disk) --else--> darkroom: stage (kept) -> shoot -> encode -> cabinet

A content address stays on the server; whoever serves a picture gives it a name of its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from django.conf import settings

from scoring import ENGINE_VERSION
from scoring.drill import Json, content_hash
from trainer.renders.cabinet import Cabinet
from trainer.renders.darkroom import AT_ONCE, DARKROOM, LATER, SOON

WIDTHS_PX = (512, 1024, 2048, 4096)
"""Whole frames, twice as wide as high; the narrowest is for a bench that is being turned."""
CLOSE_WIDTH_PX = 8192
"""Of the frame that tiles are cut from."""
TILE_PX = 1024
COLUMNS, ROWS = CLOSE_WIDTH_PX // TILE_PX, CLOSE_WIDTH_PX // 2 // TILE_PX
HEADING_WIDTHS_PX = (512, 1024)
QUICK_PX = 1024
"""Pictures up to this width are made before all others: somebody looks at nothing, or at an old frame, until then."""
CABINET_BYTES = 512 * 2**20

_PART = re.compile(r"(\d{3,4})(?:-([0-7])-([0-3]))?")
_HEADING = re.compile(r"heading-([1-9]\d?)")


@dataclass(frozen=True, slots=True)
class Part:
    """Which part of a picture: the whole at a width, or one tile of the close frame."""

    width_px: int
    tile: tuple[int, int] | None = None
    """Column from the left (azimuth -180) and row from the top."""

    @property
    def window(self) -> tuple[int, int, int, int] | None:
        """Left, top, width and height of a tile in the close frame [px]."""
        if self.tile is None:
            return None
        return self.tile[0] * TILE_PX, self.tile[1] * TILE_PX, TILE_PX, TILE_PX

    @classmethod
    def of(cls, name: str) -> Part | None:
        """The part that an address names: "2048", or "8192-3-1" for a tile; None for anything else."""
        found = _PART.fullmatch(name)
        if found is None:
            return None
        width = int(found[1])
        if found[2] is None:
            return cls(width) if width in {*WIDTHS_PX, *HEADING_WIDTHS_PX} else None
        return cls(width, (int(found[2]), int(found[3]))) if width == CLOSE_WIDTH_PX else None


def heading_number(name: str) -> int | None:
    """Which heading a picture's name means, from 1: "heading-2" -> 2; None for a merged frame."""
    found = _HEADING.fullmatch(name)
    return int(found[1]) if found else None


def fits(name: str, part: Part) -> bool:
    """Whether a picture of that name comes in that part: headings are whole, frames come whole and in tiles."""
    if heading_number(name) is None:
        return part.tile is not None or part.width_px in WIDTHS_PX
    return part.tile is None and part.width_px in HEADING_WIDTHS_PX


def picture(take: Json, name: str, part: Part, who: str) -> bytes:
    """The encoded picture of a take, for who asks.

    Raises NotYet while it is being made, ValueError for a part that it has not.
    """
    address = _address(take, name, part)
    kept = cabinet().read(address)
    if kept is not None:
        return kept
    return DARKROOM.ask(address, partial(_develop, take, name, part, address), _urgency(part), who)


def develop(take: Json, name: str) -> None:
    """Make the narrow pictures here and now, for a worker that has the time."""
    for part in map(Part, HEADING_WIDTHS_PX if heading_number(name) else (1024, 2048)):
        address = _address(take, name, part)
        if cabinet().read(address) is None:
            _develop(take, name, part, address)


def _urgency(part: Part) -> int:
    if part.width_px <= QUICK_PX:
        return AT_ONCE
    return LATER if part.width_px == WIDTHS_PX[-1] else SOON


def _address(take: Json, name: str, part: Part) -> str:
    if not fits(name, part):
        raise ValueError(f"{name} has no such part")
    heading = heading_number(name)
    return content_hash([take, heading, part.width_px, list(part.tile or ()), ENGINE_VERSION])


def _develop(take: Json, name: str, part: Part, address: str) -> bytes:
    from trainer.renders.exposing import expose

    made = expose(take, heading_number(name), part.width_px, part.window)
    cabinet().keep(address, made)
    return made


@cache
def _cabinet_in(folder: Any) -> Cabinet:
    return Cabinet(folder, CABINET_BYTES)


def cabinet() -> Cabinet:
    """Where pictures and numbers are kept by content address."""
    return _cabinet_in(settings.VAR / "frames")


__all__ = [
    "CLOSE_WIDTH_PX", "COLUMNS", "HEADING_WIDTHS_PX", "ROWS", "TILE_PX", "WIDTHS_PX", "Part", "cabinet", "develop",
    "fits", "heading_number", "picture",
]  # fmt: skip
