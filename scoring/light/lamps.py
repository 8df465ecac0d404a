"""Lamps: how much light they give and of what colour (common practice, no source)."""

from __future__ import annotations

from math import pi
from typing import NamedTuple

import numpy as np

from scoring.light.colour import Floats, rgb_of_kelvin


class Lamp(NamedTuple):
    """What a lamp sends out."""

    flux_lm: float
    colour_kelvin: float = 2900.0

    def radiance_rgb_cd_m2(self, area_m2: float) -> Floats:
        """Radiance of its shade, RGB (3,), when it is an even glow over so large an area: flux = pi x area x radiance.

        ValueError when there is no area to send it out from.
        """
        if not area_m2 > 0.0:
            raise ValueError("a lamp needs an area to shine from")
        out: Floats = self.flux_lm / (pi * area_m2) * np.array(rgb_of_kelvin(self.colour_kelvin))
        return out


LUMENS_PER_M2 = 160.0
"""Light that a room's fixed lamps give for each square metre of floor: about 50 to 100 lx on its tables."""

FIXED_LEAST_LM, FIXED_MOST_LM = 450.0, 6000.0
TABLE_LM = 450.0
"""A table or floor lamp."""


def fixed_lamps(floor_m2: float, colour_kelvin: float = 2900.0) -> Lamp:
    """All fixed lamps of a room together, by the area of its floor."""
    return Lamp(min(FIXED_MOST_LM, max(FIXED_LEAST_LM, LUMENS_PER_M2 * floor_m2)), colour_kelvin)


def table_lamp(colour_kelvin: float = 2700.0) -> Lamp:
    """One lamp that stands in a room."""
    return Lamp(TABLE_LM, colour_kelvin)


__all__ = ["Lamp", "fixed_lamps", "table_lamp"]
