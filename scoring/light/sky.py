"""The sky as a source of light: luminance by direction, the sun's light through the air, and their colours.

::

        symbol   meaning                                              unit
        ------   --------------------------------------------------   ------
        h        elevation of a direction                             deg
        Z        its distance from the zenith, 90 - h                 deg
        chi      its distance from the sun                            deg
        m        air mass: how much air the sun shines through        1 at the zenith
        Lz       luminance of the zenith                              cd/m2
        E        illuminance on level ground from the sky alone       lx

Luminance by direction is that of the standard skies of CIE S 011 (ISO 15469), relative to the zenith:
(1 + a exp(b / cos Z)) (1 + c (exp(d chi) - exp(d 90 deg)) + e cos2 chi). The overcast sky is the traditional one of
Moon and Spencer 1942, Lz (1 + 2 sin h) / 3, whose illuminance is 7 pi / 9 Lz. The size of E and of the sun's light
by elevation follows the three skies of Gillette and Pierpoint 1983. Coefficients of all of these are from memory.
"""

from __future__ import annotations

from math import exp, pi, radians, sin
from typing import Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import LUMINANCE, Floats, luminance_of, rgb_of_kelvin
from scoring.light.sun import Sun, toward_sun

SkyKind = Literal["clear", "broken", "overcast"]
SKIES: tuple[SkyKind, ...] = get_args(SkyKind)

ROWS, COLUMNS = 91, 180
"""A sky's table: a row each degree from horizon to zenith, a column every two degrees, counter-clockwise from east."""

EXTRATERRESTRIAL_LX = 127500.0
"""Sunlight above the air, square on."""

SUN_RADIUS_DEG = 0.2666

NIGHT_LX = 0.05
"""On open ground at night in a town."""


class _Air(NamedTuple):
    """A kind of sky: gradation (a, b), scatter round the sun (c, d, e), extinction, E = low + high sin(h) ** power."""

    a: float
    b: float
    c: float
    d: float
    e: float
    extinction: float
    low_lx: float
    high_lx: float
    power: float
    cloud: float


_AIRS: dict[SkyKind, _Air] = {
    "clear": _Air(-1.0, -0.32, 10.0, -3.0, 0.45, 0.21, 800.0, 15500.0, 0.5, 0.08),
    "broken": _Air(-1.0, -0.55, 5.0, -2.5, 0.30, 0.45, 600.0, 30000.0, 0.8, 0.55),
    "overcast": _Air(0.0, 0.0, 0.0, 0.0, 0.0, np.inf, 300.0, 21000.0, 1.0, 0.0),
}


class Sky(NamedTuple):
    """Light from outside at one instant, on a drawing."""

    kind: SkyKind
    sun: Sun
    toward_sun: tuple[float, float, float]
    """Unit vector on the drawing."""
    sun_rgb_lx: Floats
    """Illuminance of the sun alone on a surface square to it, RGB (3,); zero when it is down or behind cloud."""
    table_cd_m2: NDArray[np.float32]
    """Luminance by direction without single clouds, RGB, (ROWS, COLUMNS, 3)."""
    cloud: float
    """How much of it bears clouds, 0..1; a picture may draw them if it keeps the mean."""
    horizontal_lx: float
    """Illuminance on open level ground from the sky, without the sun."""


def sky_of(kind: SkyKind, sun: Sun, north_deg: float) -> Sky:
    """The sky of a kind with the sun where it stands, on a drawing whose north points at ``north_deg``."""
    if kind not in _AIRS:
        raise ValueError(f"no sky is called {kind!r}; known: {', '.join(SKIES)}")
    toward = toward_sun(sun, north_deg)
    horizontal_lx = sky_illuminance_lx(kind, sun.elevation_deg)
    sun_rgb = sun_illuminance_rgb_lx(kind, sun.elevation_deg)
    directions = table_directions()
    shape = (
        _gradation(_AIRS[kind], directions, toward) if kind != "overcast" else (1.0 + 2.0 * directions[..., 2]) / 3.0
    )
    colour = _colours(kind, directions, toward)
    rgb = colour * shape[..., None]
    rgb *= horizontal_lx / level_illuminance_lx(luminance_of(rgb))
    return Sky(kind, sun, toward, sun_rgb, rgb.astype(np.float32), _AIRS[kind].cloud, horizontal_lx)


def sky_at_night(north_deg: float) -> Sky:
    """The sky of a town at night: what a room's own lamps are seen by."""
    return sky_of("overcast", Sun(0.0, -30.0), north_deg)


def air_mass(elevation_deg: float) -> float:
    """How much air the sun shines through, 1 at the zenith (Kasten and Young 1989, from memory)."""
    h = max(0.0, elevation_deg)
    return float(1.0 / (sin(radians(h)) + 0.50572 * (h + 6.07995) ** -1.6364))


def sun_illuminance_rgb_lx(kind: SkyKind, elevation_deg: float) -> Floats:
    """Illuminance by the sun alone, square on, as RGB (3,): less and redder as it sinks, gone half a degree under."""
    air = _AIRS[kind]
    if not np.isfinite(air.extinction) or elevation_deg <= -0.5:
        return np.zeros(3)
    mass = air_mass(elevation_deg)
    rgb = np.array(rgb_of_kelvin(5900.0)) * np.exp(-np.array([-0.04, 0.0, 0.12]) * mass)
    rgb *= EXTRATERRESTRIAL_LX * exp(-air.extinction * mass) / float(rgb @ LUMINANCE)
    out: Floats = rgb * min(1.0, (elevation_deg + 0.5) / 1.0)
    return out


def sky_illuminance_lx(kind: SkyKind, elevation_deg: float) -> float:
    """Illuminance on open level ground from the sky alone, by the sun's elevation; tenfold less each 2.6 deg down."""
    air = _AIRS[kind]
    if elevation_deg < 0.0:
        return float(max(NIGHT_LX, air.low_lx * 10.0 ** (elevation_deg / 2.6)))
    return float(air.low_lx + air.high_lx * sin(radians(elevation_deg)) ** air.power)


def table_directions() -> Floats:
    """Unit vectors of a sky table's entries, (ROWS, COLUMNS, 3)."""
    up = np.radians(np.linspace(0.0, 90.0, ROWS))[:, None]
    round_ = np.radians(np.arange(COLUMNS) * (360.0 / COLUMNS))[None, :]
    return np.stack(
        [np.cos(up) * np.cos(round_), np.cos(up) * np.sin(round_), np.sin(up) * np.ones_like(round_)], axis=-1
    )


def _gradation(air: _Air, directions: Floats, toward: tuple[float, float, float]) -> Floats:
    chi = np.arccos(np.clip(directions @ np.array(toward), -1.0, 1.0))
    cos_zenith = np.maximum(directions[..., 2], 0.01)
    gradation = 1.0 + air.a * np.exp(air.b / cos_zenith)
    scatter = 1.0 + air.c * (np.exp(air.d * chi) - exp(air.d * pi / 2.0)) + air.e * np.cos(chi) ** 2
    out: Floats = gradation * scatter
    return out


def _colours(kind: SkyKind, directions: Floats, toward: tuple[float, float, float]) -> Floats:
    """Colour of each direction, luminance 1: blue far from the sun and high up, whiter near it and at the horizon."""
    if kind == "overcast":
        return np.broadcast_to(np.array(rgb_of_kelvin(6800.0)), directions.shape).copy()
    chi_deg = np.degrees(np.arccos(np.clip(directions @ np.array(toward), -1.0, 1.0)))
    high_deg = np.degrees(np.arcsin(np.clip(directions[..., 2], 0.0, 1.0)))
    white = np.minimum(1.0, 0.75 * np.exp(-high_deg / 12.0) + 0.9 * np.exp(-chi_deg / 18.0))[..., None]
    blue_kelvin = 20000.0 if kind == "clear" else 9000.0
    rgb = white * np.array(rgb_of_kelvin(6000.0)) + (1.0 - white) * np.array(rgb_of_kelvin(blue_kelvin))
    out: Floats = rgb / luminance_of(rgb)[..., None]
    return out


def level_illuminance_lx(luminance_cd_m2: Floats) -> float:
    """Illuminance on level ground under the luminances of a sky table (rows, columns)."""
    rows, columns = luminance_cd_m2.shape
    half = pi / 4.0 / (rows - 1)
    up = np.linspace(0.0, pi / 2.0, rows)
    low, high = np.maximum(up - half, 0.0), np.minimum(up + half, pi / 2.0)
    weight = 0.5 * (np.sin(high) ** 2 - np.sin(low) ** 2) * (2.0 * pi / columns)
    return float((luminance_cd_m2.sum(axis=1) * weight).sum())


__all__ = [
    "COLUMNS", "ROWS", "SKIES", "SUN_RADIUS_DEG", "Sky", "SkyKind", "air_mass", "level_illuminance_lx",
    "sky_at_night", "sky_illuminance_lx", "sky_of", "sun_illuminance_rgb_lx", "table_directions",
]  # fmt: skip
