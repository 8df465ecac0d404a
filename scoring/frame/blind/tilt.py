"""Tilt of a frame from its upright edges: where all of them meet is straight up, and that is not always the zenith.

    d   unit direction of a pixel                          (forward, left, up)
    n   unit gradient of brightness on the sphere at d, averaged along a stretch of the edge; n . d = 0
    up  the plumb line as the frame has it                  unit vector
    t   angle between up and the frame's own zenith         [deg]
    a   azimuth toward which the horizon stands highest     [deg]

            up   zenith            Every straight edge of the room lies on a great circle whose plane has the
              \\   |                 normal n. For an upright edge n . up = 0, so
               \\ t|                     up = smallest eigenvector of  sum w n n'
                \\ |                 over edges that are near upright: first within 12 deg, at last within 2 deg.
       _ _ _ _ _\\|_ _ _ _ a       The horizon then is  tan(elevation) = tan t cos(azimuth - a).

How sure: the frame is cut into sectors of azimuth, each is left out once (jackknife), and the spread of up is
taken. Sources: great-circle vanishing directions, Bazin et al. 2012; Jung et al. 2017 (both by abstract).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from scoring.frame.blind.sphere import (
    Bytes,
    CannotTell,
    Floats,
    Trace,
    azimuths_deg,
    brightness,
    elevations_deg,
)

REACH_DEG = 60.0
"""Edges farther from the frame's horizon than this are stretched too much to be trusted."""
SMOOTH_PX = 1.0
STRETCH_PX = (4.0, 1.5)
"""Over this much of an edge, up-down and across, its direction is averaged (Gaussian standard deviations)."""
LINE_LIKE_MIN = 0.5
"""Anisotropy of the averaged gradients: 1 on a straight edge, 0 in texture."""
STRONGEST_SHARE = 0.2
WINDOWS_DEG = (12.0, 8.0, 5.0, 3.0, 2.0, 2.0, 2.0)
SECTORS = 12
EDGES_MIN = 300
"""Edge pixels in the last window, below which nothing is said."""
CONDITION_MIN = 0.02
"""Second-smallest over largest eigenvalue: below, all upright edges stand in one direction and its opposite."""
UNSTEADY_DEG = 1.0
STANDS_OUT_MIN = 2.0
"""Edges upright within 2 deg against those 4 to 10 deg off, for each degree: 1 in noise, far more in a room."""


@dataclass(frozen=True, slots=True)
class Tilt:
    """How far the frame's axis is off plumb. ``uncertainty_deg`` is one standard error of the tilt."""

    tilt_deg: float
    towards_deg: float
    """Azimuth toward which the horizon stands highest, -180..180."""
    uncertainty_deg: float
    edges: int
    """Edge pixels that agree."""
    traces: tuple[Trace, ...]


def find_tilt(rgb: Bytes) -> Tilt | CannotTell:
    """The tilt of an sRGB frame (H, W, 3), best at 1024 to 2048 px wide, from its upright edges."""
    normals, weights, sectors = _edges(brightness(rgb))
    if len(weights) < EDGES_MIN:
        return CannotTell("tilt", "few-edges")
    up, agreeing = _plumb(normals, weights)
    if int(agreeing.sum()) < EDGES_MIN:
        return CannotTell("tilt", "few-edges")
    spread = np.linalg.eigvalsh((normals[agreeing] * weights[agreeing, None]).T @ normals[agreeing])
    if spread[1] < CONDITION_MIN * spread[2]:
        return CannotTell("tilt", "one-sided")
    sure_deg = _jackknife_deg(normals, weights, sectors)
    if sure_deg > UNSTEADY_DEG or _stands_out(normals, weights, up) < STANDS_OUT_MIN:
        return CannotTell("tilt", "unsteady")
    # The horizon stands highest where up leans away from.
    tilt_deg = float(np.degrees(np.arctan2(np.hypot(up[0], up[1]), up[2])))
    towards_deg = float(np.degrees(np.arctan2(up[1], -up[0])))
    return Tilt(tilt_deg, towards_deg, sure_deg, int(agreeing.sum()), _traces(tilt_deg, towards_deg))


def _edges(grey: Floats) -> tuple[Floats, Floats, Floats]:
    """Normals (n, 3), weights (n,) and sector numbers (n,) of the strongest edge pixels near the horizon."""
    height, width = grey.shape
    lat, lon = np.radians(elevations_deg(height)), np.radians(azimuths_deg(width))
    smooth = gaussian_filter(grey, SMOOTH_PX, mode=("nearest", "wrap"))
    step = 2.0 * np.pi / width
    east = (np.roll(smooth, -1, 1) - np.roll(smooth, 1, 1)) / (2.0 * step * np.cos(lat)[:, None])
    north = -np.gradient(smooth, step, axis=0)
    # An edge that leans by a degree is a staircase of pixels: its direction shows only over a stretch of it.
    across, along, both = (
        gaussian_filter(product, STRETCH_PX, mode=("nearest", "wrap"))
        for product in (east * east, north * north, east * north)
    )
    line_like = np.hypot(across - along, 2.0 * both) > LINE_LIKE_MIN * (across + along)
    near = np.abs(lat) <= np.radians(REACH_DEG)
    strength = np.hypot(east, north)
    limit = np.quantile(strength[near], 1.0 - STRONGEST_SHARE)
    rows, columns = np.nonzero((strength > max(float(limit), 1e-6)) & near[:, None] & line_like)
    turn = 0.5 * np.arctan2(2.0 * both[rows, columns], (across - along)[rows, columns])
    g_east, g_north = np.cos(turn), np.sin(turn)
    sin_lat, cos_lat = np.sin(lat)[rows], np.cos(lat)[rows]
    sin_lon, cos_lon = np.sin(lon)[columns], np.cos(lon)[columns]
    normals = np.stack(
        [
            -g_east * sin_lon - g_north * sin_lat * cos_lon,
            -g_east * cos_lon + g_north * sin_lat * sin_lon,
            g_north * cos_lat,
        ],
        axis=1,
    ).astype(np.float64)
    return normals, (strength[rows, columns] * cos_lat).astype(np.float64), columns * SECTORS // width


def _plumb(normals: Floats, weights: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """The direction that the normals near a right angle to it share, narrowing down; and which of them do."""
    up: Floats = np.array([0.0, 0.0, 1.0])
    agreeing = np.ones(len(weights), bool)
    for window_deg in WINDOWS_DEG:
        off = normals @ up
        width = np.sin(np.radians(window_deg))
        agreeing = np.abs(off) < width
        if int(agreeing.sum()) < 3:
            break
        weight = weights[agreeing] * (1.0 - (off[agreeing] / width) ** 2) ** 2
        _, axes = np.linalg.eigh((normals[agreeing] * weight[:, None]).T @ normals[agreeing])
        up = axes[:, 0] * (1.0 if axes[2, 0] >= 0.0 else -1.0)
    return up, agreeing


def _stands_out(normals: Floats, weights: Floats, up: Floats) -> float:
    """How much denser edges lie within 2 degrees of upright than 4 to 10 degrees off it."""
    off_deg = np.degrees(np.arcsin(np.clip(np.abs(normals @ up), 0.0, 1.0)))
    inner = float(weights[off_deg < 2.0].sum()) / 2.0
    outer = float(weights[(off_deg >= 4.0) & (off_deg < 10.0)].sum()) / 6.0
    return inner / max(outer, 1e-12)


def _jackknife_deg(normals: Floats, weights: Floats, sectors: Floats) -> float:
    """One standard error of up [deg]: the spread when each sector of azimuth is left out once."""
    parts = []
    for sector in range(SECTORS):
        rest = sectors != sector
        if rest.all():
            continue
        parts.append(_plumb(normals[rest], weights[rest])[0])
    off = np.array(parts) - np.mean(parts, axis=0)
    factor = (len(parts) - 1) / len(parts)
    # Per axis; the tilt is one number made of two, so it gets the mean of both.
    return float(np.degrees(np.sqrt(factor * (off**2).sum() / 2.0)))


def _traces(tilt_deg: float, towards_deg: float) -> tuple[Trace, ...]:
    azimuths = np.arange(-180.0, 181.0, 10.0)
    wave = np.degrees(np.arctan(np.tan(np.radians(tilt_deg)) * np.cos(np.radians(azimuths - towards_deg))))
    horizon = tuple((float(a), float(e)) for a, e in zip(azimuths, wave, strict=True))
    return (Trace("level", "line", ((-180.0, 0.0), (180.0, 0.0))), Trace("horizon", "line", horizon))


__all__ = ["Tilt", "find_tilt"]
