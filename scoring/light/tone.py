"""A merged frame on a screen: one smooth curve that keeps a room and its windows readable.

::

      shown 1 ┤                 ___----  white (windows) ends near it, never flat
              │           _--‾‾
         0.2 ┤ - - - .-‾                 the room's middle
              │  .-‾ '
            0 └──────'────────────▶ log luminance

shown = x / (x + k) with x = (L / middle) ** contrast (Naka and Rushton 1966, from memory): a power law in the room, a
shoulder above it. Contrast is what the span from middle to white asks for, within limits: with no window in view it
is a plain picture, with a sunlit yard outside it is flatter, as any merged frame of that room is.
"""

from __future__ import annotations

from math import exp, log, log1p
from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.light.colour import NEUTRAL, Floats, Rgb
from scoring.light.response import Levels, level_table

MIDDLE_SHOWN = 0.21
"""Linear share at which the room's middle is shown."""

WHITE_SHOWN = 0.9
CONTRAST_LEAST, CONTRAST_MOST = 0.58, 1.1
_BEND = 0.06
"""How softly contrast meets its limits."""

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
    colourful: float = 1.15
    """What is done to colours after it: a curve on each channel pales them."""

    @property
    def contrast(self) -> float:
        """Slope of the curve in the dark, in stops shown per stop."""
        span = log(max(self.white_cd_m2 / self.middle_cd_m2, 1.0 + 1e-6))
        asked = log(WHITE_SHOWN / (1.0 - WHITE_SHOWN) * (1.0 - MIDDLE_SHOWN) / MIDDLE_SHOWN) / span
        at_least = CONTRAST_LEAST + _BEND * log1p(exp(min((asked - CONTRAST_LEAST) / _BEND, 500.0)))
        return CONTRAST_MOST - _BEND * log1p(exp((CONTRAST_MOST - min(at_least, 2.0)) / _BEND))


def shown(luminance_cd_m2: NDArray[np.floating], tone: Tone) -> Floats:
    """Linear share 0..1 at which a luminance is shown."""
    x = (np.maximum(np.asarray(luminance_cd_m2, dtype=np.float64), 0.0) / tone.middle_cd_m2) ** tone.contrast
    out: Floats = x / (x + (1.0 - MIDDLE_SHOWN) / MIDDLE_SHOWN)
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
