"""Where haze is plain to see: something dark with detail, whose blacks turn grey; a bare wall hides it.

Of each cell of a heading two tones are read, through clean glass and as it was taken, in levels of 255::

    light ──┬── through clean glass        light ──┬── as taken
            │  span                        dark  ──┴──
    dark  ──┴──                                            what is missing of the span is what the eye misses

Contrast lost to stray light is a share, and may be greatest where nothing has any. What people see is how much of the
span is gone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve

Floats = NDArray[Any]

DARK_LIGHT_PERCENT = (5.0, 95.0)
"""So much of a cell is darker than its dark tone, and than its light one."""
AS_BAD = 0.5
"""A place shows the haze of a frame when it has lost at least this share of what the worst place has."""
SPAN_MIN_LEVELS = 24.0
"""Less from dark to light is bare: nobody sees a haze on it."""
_ABOUT = np.outer((0.5, 1.0, 0.5), (0.5, 1.0, 0.5)) / 4.0
"""How much a cell and its neighbours count."""


class Tones(NamedTuple):
    """The dark and the light tone of each cell (rows, columns), in levels of 255."""

    dark: Floats
    light: Floats


class Hazy(NamedTuple):
    """One heading in cells (rows, columns) with what it lost."""

    azimuth_deg: Floats
    """(columns,) in the frame."""
    elevation_deg: Floats
    """(rows,)"""
    lost: Floats
    """Share of contrast; not a number where nothing can be told."""
    clean: Tones
    """Through clean glass, ..."""
    seen: Tones
    """... and as taken."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A place that shows a haze, and what it does there to the dark and the light tone, in levels of 255."""

    azimuth_deg: float
    elevation_deg: float
    lost_share: float
    """Contrast that is gone there."""
    clean_levels: tuple[float, float] = (0.0, 0.0)
    """Dark and light, through clean glass, ..."""
    seen_levels: tuple[float, float] = (0.0, 0.0)
    """... and as taken."""


def tones_of(levels: Floats) -> Tones:
    """Of cells (rows, columns, pixels) of levels."""
    dark, light = np.percentile(levels, DARK_LIGHT_PERCENT, axis=-1)
    return Tones(dark, light)


def shown_in(headings: Sequence[Hazy], worst: int, worst_share: float) -> Shown:
    """Where most of the span is gone, of all cells that lost about as much as the worst has, ``worst_share``.

    Where all of these are bare, it is where the ``worst`` of the headings lost most contrast.
    """
    gone = [_gone(one, AS_BAD * worst_share) for one in headings]
    k = max(range(len(headings)), key=lambda number: float(gone[number].max(initial=0.0)))
    if gone[k].max(initial=0.0) <= 0.0:
        k, gone = worst, [np.nan_to_num(one.lost) for one in headings]
    one = headings[k]
    row, column = np.unravel_index(int(np.argmax(gone[k])), gone[k].shape)
    return Shown(
        azimuth_deg=(float(one.azimuth_deg[column]) + 180.0) % 360.0 - 180.0,
        elevation_deg=float(one.elevation_deg[row]),
        lost_share=float(one.lost[row, column]),
        clean_levels=(float(one.clean.dark[row, column]), float(one.clean.light[row, column])),
        seen_levels=(float(one.seen.dark[row, column]), float(one.seen.light[row, column])),
    )


def _gone(one: Hazy, least_share: float) -> Floats:
    """Levels of the span that are gone in and about each cell; 0 where too little contrast is, or where it is bare."""
    span = one.clean.light - one.clean.dark
    gone = convolve(np.maximum(span - (one.seen.light - one.seen.dark), 0.0), _ABOUT, mode="nearest")
    return np.where((np.nan_to_num(one.lost) >= least_share) & (span >= SPAN_MIN_LEVELS), gone, 0.0)


__all__ = ["Hazy", "Shown", "Tones", "shown_in", "tones_of"]
