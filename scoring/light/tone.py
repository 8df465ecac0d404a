"""A merged frame on a screen: one smooth curve that keeps a room and its windows readable.

::

      shown (stops)
        white ┤                        __.--‾‾    above the room a gentle slope as far as the windows: leaves,
              │               __.--‾‾             fence and sky stay apart
      middle ┤ - - - - -  .-‾
              │        .-'                        the room itself at nearly the slope of a plain picture
              │     .-'
              └───────────┼────────────────┼──▶ luminance (stops)
                        middle           white

Alphabet: u stops of luminance over the room's middle; y stops shown, 0 = full white; y(0) and y(span) are given, the
slope is ``room`` below a bend and ``window`` above it. With no window in view the bend all but goes.
"""

from __future__ import annotations

from math import exp, log2
from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.light.colour import NEUTRAL, Floats, Rgb
from scoring.light.response import Levels, level_table

MIDDLE_SHOWN = 0.29
"""Linear share at which the room's middle is shown."""
WHITE_SHOWN = 0.93
"""Linear share at which white is shown, where the slopes allow."""

_BEND_AT, _BEND_WIDE = 0.3, 0.7
"""Where the curve bends and how softly [stops over the middle]."""
_TOP_WIDE = 0.07
"""How softly it ends at full white [stops]."""
_LEAST_SLOPE = 0.05

_BITS = 15
_SLOTS = 1 << (31 - _BITS)
"""Radiances are looked up by the 16 bits after the sign of a float32: 256 steps in each doubling."""


class Tone(NamedTuple):
    """A curve from radiance to what is shown."""

    middle_cd_m2: float
    white_cd_m2: float
    """Luminance that is shown as ``WHITE_SHOWN``, if contrast allows."""
    balance: Rgb = NEUTRAL
    """Gains on red, green and blue before the curve."""
    colourful: float = 1.25
    """What is done to colours after it: a curve on each channel pales them."""

    @property
    def slopes(self) -> tuple[float, float]:
        """Stops shown per stop of luminance: in the room, and from there to the windows."""
        span = max(0.0, log2(max(self.white_cd_m2, 1e-9) / self.middle_cd_m2))
        room = 0.80 + 0.25 * exp(-span / 5.0)
        over = log2(MIDDLE_SHOWN) + room * span - log2(WHITE_SHOWN)
        bent = _bent(span)
        window = room - over / bent if bent > 1e-6 else room
        return room, min(room, max(_LEAST_SLOPE, window))


def _bent(stops: float) -> float:
    """How far the curve has left the room's slope, in stops of luminance for each stop of slope."""
    return float(_soft(stops - _BEND_AT, _BEND_WIDE) - _soft(-_BEND_AT, _BEND_WIDE))


def _soft(at: Any, wide: float) -> Any:
    """The positive part of a number, without a corner."""
    return wide * np.logaddexp(0.0, np.asarray(at) / wide)


def shown(luminance_cd_m2: NDArray[np.floating], tone: Tone) -> Floats:
    """Linear share 0..1 at which a luminance is shown."""
    room, window = tone.slopes
    u = np.log2(np.maximum(np.asarray(luminance_cd_m2, dtype=np.float64), 1e-12) / tone.middle_cd_m2)
    bent = _soft(u - _BEND_AT, _BEND_WIDE) - _soft(-_BEND_AT, _BEND_WIDE)
    y = log2(MIDDLE_SHOWN) + room * u - (room - window) * bent
    out: Floats = np.exp2(y - _soft(y, _TOP_WIDE))
    return out


def tone_table(tone: Tone) -> NDArray[np.float32]:
    """`shown` by the 16 bits after the sign of a float32, for the kernel."""
    bits = (np.arange(_SLOTS, dtype=np.uint32) << np.uint32(_BITS)) + np.uint32(1 << (_BITS - 1))
    at = np.minimum(bits, np.uint32(0x7F7FFFFF)).view(np.float32)
    return shown(np.minimum(at, 1e30), tone).astype(np.float32)


def toned(rgb_cd_m2: NDArray[np.floating], tone: Tone) -> Levels:
    """A merged frame (..., 3) [cd/m2] as levels 0..255 of sRGB."""
    flat = np.ascontiguousarray(rgb_cd_m2, dtype=np.float32).reshape(-1, 3)
    out = np.empty(flat.shape, np.uint8)
    tone_rows(flat, out, tone_table(tone), np.array(tone.balance, np.float32), tone.colourful, level_table())
    return out.reshape(np.shape(rgb_cd_m2))


@njit(nogil=True, cache=True)
def tone_rows(rgb: Any, out: Any, table: Any, balance: Any, colourful: float, levels_: Any) -> None:
    """`toned` on rows (n, 3), into ``out`` (n, 3) uint8: one call for each band of rows and thread."""
    top = levels_.shape[0] - 1
    one = np.empty(3, np.float32)
    bits = one.view(np.uint32)
    part = np.empty(3)
    for i in range(rgb.shape[0]):
        for k in range(3):
            one[k] = max(rgb[i, k] * balance[k], np.float32(0.0))
            part[k] = table[bits[k] >> np.uint32(15)]
        grey = 0.2126 * part[0] + 0.7152 * part[1] + 0.0722 * part[2]
        for k in range(3):
            share = grey + colourful * (part[k] - grey)
            out[i, k] = levels_[int(min(1.0, max(0.0, share)) * top + 0.5)]


__all__ = ["MIDDLE_SHOWN", "WHITE_SHOWN", "Tone", "shown", "tone_rows", "tone_table", "toned"]
