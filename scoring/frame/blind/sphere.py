"""Pixels of an equirectangular frame as directions, angles and light: what every blind measure stands on.

W x H      width and height of the frame, 2:1                          [px]
lon, lat   azimuth to the right of the middle, elevation               [deg]
d          unit direction (forward, left, up), d = (cos lat cos lon, -cos lat sin lon, sin lat)

      lon -180        0        180
  lat  90 +-----------+-----------+      column i:  lon = (i + 1/2) / W 360 - 180
        0 |           |           |      row j:     lat = 90 - (j + 1/2) / H 180
      -90 +-----------+-----------+      solid angle of a pixel ~ cos lat
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Bytes = NDArray[np.uint8]

TraceRole = Literal[
    "horizon", "level", "upright", "strip", "doubled", "darkest", "clipped", "crushed", "soft", "sharp", "gap", "copy"
]


@dataclass(frozen=True, slots=True)
class Trace:
    """One thing to draw on the frame: a box or a line of directions, without words.

    ``at_deg``: (azimuth, elevation) pairs; of a box its left bottom and right top corner, where the right one may
    pass 180 when the box runs over the frame's edge.
    """

    role: TraceRole
    form: Literal["line", "box"]
    at_deg: tuple[tuple[float, float], ...]


Why = Literal[
    "few-edges", "one-sided", "unsteady", "repeated-pattern", "weak-peaks", "none-seen", "flat", "too-small",
    "unread-metadata",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class CannotTell:
    """An honest answer: this frame does not tell. ``why`` is a short code that the page puts into words."""

    what: Literal["tilt", "seams", "veil", "sharpness", "clipping", "sectors", "metadata"]
    why: Why
    traces: tuple[Trace, ...] = ()
    """Where to look with one's own eyes."""


_STEPS = np.arange(256) / 255.0
LINEAR = np.where(_STEPS <= 0.04045, _STEPS / 12.92, ((_STEPS + 0.055) / 1.055) ** 2.4).astype(np.float32)
"""Linear light 0..1 of the 256 steps of sRGB (IEC 61966-2-1, from memory)."""
WEIGHTS = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Share of linear R, G, B in luminance (ITU-R BT.709, from memory)."""


def azimuths_deg(width_px: int) -> Floats:
    """Azimuth of each column's middle, (W,) [deg]."""
    return (np.arange(width_px) + 0.5) / width_px * 360.0 - 180.0


def elevations_deg(height_px: int) -> Floats:
    """Elevation of each row's middle, (H,) [deg]."""
    return 90.0 - (np.arange(height_px) + 0.5) / height_px * 180.0


def column_of(azimuth_deg: float, width_px: int) -> int:
    """The column that holds an azimuth, any number of turns [px]."""
    return int(np.floor((azimuth_deg + 180.0) / 360.0 * width_px)) % width_px


def row_of(elevation_deg: float, height_px: int) -> int:
    """The row that holds an elevation -90..90 [px]."""
    return min(height_px - 1, max(0, int(np.floor((90.0 - elevation_deg) / 180.0 * height_px))))


def luminance(rgb: Bytes) -> Floats:
    """Relative luminance 0..1 of sRGB bytes (..., 3), float32 (...)."""
    light: Floats = LINEAR[rgb[..., 0]] * WEIGHTS[0]
    light += LINEAR[rgb[..., 1]] * WEIGHTS[1]
    light += LINEAR[rgb[..., 2]] * WEIGHTS[2]
    return light


def brightness(rgb: Bytes) -> Floats:
    """Brightness in steps of the file, 0..255, of sRGB bytes (..., 3), float32 (...): near to what the eye sees."""
    return rgb.astype(np.float32) @ WEIGHTS


def solid_angles(height_px: int) -> Floats:
    """Share of the sphere that one pixel of each row takes, times the width: (H,), sums to 1."""
    edges = np.sin(np.radians(90.0 - np.arange(height_px + 1) / height_px * 180.0))
    return (edges[:-1] - edges[1:]) / 2.0


__all__ = [
    "LINEAR", "Bytes", "CannotTell", "Floats", "Trace", "TraceRole", "Why", "azimuths_deg", "brightness", "column_of",
    "elevations_deg", "luminance", "row_of", "solid_angles",
]  # fmt: skip
