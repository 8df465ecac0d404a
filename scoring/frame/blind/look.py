"""One look at a finished frame: every blind measure, each a finding or an honest "cannot tell"."""

from __future__ import annotations

from dataclasses import dataclass

from scoring.frame.blind.clipping import Clipping, find_clipping
from scoring.frame.blind.metadata import Metadata, find_metadata
from scoring.frame.blind.seams import Seams, find_seams
from scoring.frame.blind.sectors import Sectors, find_sectors, flat_columns
from scoring.frame.blind.sharpness import Sharpness, find_sharpness
from scoring.frame.blind.sphere import Bytes, CannotTell
from scoring.frame.blind.tilt import Tilt, find_tilt
from scoring.frame.blind.veil import Veil, find_veil


@dataclass(frozen=True, slots=True)
class Look:
    """What one frame tells about itself."""

    tilt: Tilt | CannotTell
    seams: Seams | CannotTell
    sectors: Sectors | CannotTell
    sharpness: Sharpness | CannotTell
    veil: Veil | CannotTell
    clipping: Clipping
    metadata: Metadata | CannotTell


def look(
    fine: Bytes, coarse: Bytes, packet: bytes | None, file_width_px: int, file_height_px: int, headings: int | None
) -> Look:
    """Look at a frame.

    ``fine`` (H, W, 3) is the sRGB picture at the finest scale there is, ``coarse`` the same at 1024 to 2048 px wide;
    ``packet`` the file's XMP, the two sizes those of the file; ``headings`` how many made the frame, if known.
    """
    return Look(
        find_tilt(coarse),
        find_seams(fine, headings),
        find_sectors(coarse),
        find_sharpness(fine),
        find_veil(coarse, flat_columns(coarse)),
        find_clipping(fine),
        find_metadata(packet, file_width_px, file_height_px),
    )


__all__ = ["Look", "look"]
