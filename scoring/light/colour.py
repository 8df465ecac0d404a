"""The colour of light as linear RGB: daylight and lamps by their colour temperature.

Colours are linear, on the primaries of sRGB (IEC 61966-2-1), and scaled so that their luminance is 1: a colour times
a quantity in lx or cd/m2 has that very quantity.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LUMINANCE: Floats = np.array([0.2126, 0.7152, 0.0722])
"""Shares of linear RGB in luminance (IEC 61966-2-1)."""

_FROM_XYZ: Floats = np.array(
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]],
)


class Rgb(NamedTuple):
    """Three linear shares of red, green and blue."""

    red: float
    green: float
    blue: float


NEUTRAL = Rgb(1.0, 1.0, 1.0)


def rgb_of_kelvin(kelvin: float) -> Rgb:
    """Colour of a glowing body, luminance 1, from 1667 to 25,000 K; ValueError beyond.

    Chromaticity by the cubic fit of Kim et al. 2002 (US 7024034), coefficients from memory.
    """
    if not 1667.0 <= kelvin <= 25000.0:
        raise ValueError(f"colour temperature {kelvin} K lies outside 1667 to 25000 K")
    t = 1000.0 / kelvin
    if kelvin <= 4000.0:
        x = ((-0.2661239 * t - 0.2343589) * t + 0.8776956) * t + 0.179910
    else:
        x = ((-3.0258469 * t + 2.1070379) * t + 0.2226347) * t + 0.240390
    if kelvin <= 2222.0:
        y = ((-1.1063814 * x - 1.34811020) * x + 2.18555832) * x - 0.20219683
    elif kelvin <= 4000.0:
        y = ((-0.9549476 * x - 1.37418593) * x + 2.09137015) * x - 0.16748867
    else:
        y = ((3.0817580 * x - 5.87338670) * x + 3.75112997) * x - 0.37001483
    rgb = np.maximum(_FROM_XYZ @ np.array([x / y, 1.0, (1.0 - x - y) / y]), 0.0)
    rgb /= float(rgb @ LUMINANCE)
    return Rgb(float(rgb[0]), float(rgb[1]), float(rgb[2]))


def luminance_of(rgb: NDArray[np.floating]) -> Floats:
    """Luminance of linear RGB (..., 3), in its unit."""
    return np.asarray(rgb, dtype=np.float64) @ LUMINANCE


__all__ = ["LUMINANCE", "NEUTRAL", "Floats", "Rgb", "luminance_of", "rgb_of_kelvin"]
