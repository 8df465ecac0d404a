"""Level: where the horizon and upright lines land in the merged frame.

Every place of the frame shows some direction of the world. The one direction of the frame from which all of them are
as far as the world's are from plumb up, least squares over all headings, is where plumb up lies in the frame::

        plumb up   frame's up            tilt = angle between them
              \\   │                      horizon at azimuth A: atan(tan tilt cos(A - toward))
               \\t │                      toward = where the horizon stands highest = where the axis leans
                \\│

What is left of the horizon beside that one wave tells teeth from scallops.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scoring.frame.measure_seams import Floats, directions
from scoring.frame.pose import Heading, rays_of_row

STEP_DEG = 2.0
HEIGHTS_DEG = (-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0)
TILT_MIN_DEG = 1e-6
"""A smaller tilt has no direction."""
BIN_DEG = 0.5


@dataclass(frozen=True, slots=True)
class Level:
    """How the merged frame stands to the plumb line."""

    tilt_deg: float
    toward_deg: float
    """Azimuth where the horizon stands highest, -180..180; 0 when there is no tilt."""
    scallop_deg: float
    """Rise and fall of the horizon within a heading beside the one wave, mean over headings."""


@dataclass(frozen=True, slots=True)
class Sectors:
    """Azimuth of the world that the merged frame does not show, or shows more than once."""

    missing_deg: float
    """Widest piece that is shown nowhere."""
    missing_at_deg: float
    """Azimuth in the frame where it should be: the middle of what is black, or shown a second time, in its place."""
    repeated_deg: float
    """Widest piece that is shown a second time."""
    repeated_at_deg: float


def level_of(headings: Sequence[Heading], half_deg: float) -> Level:
    """Tilt, its direction and the scallops of a spin whose headings are each ``half_deg`` wide to either side."""
    across = np.arange(-half_deg + 0.5 * STEP_DEG, half_deg, STEP_DEG)
    meant, heights, weights = [], [], []
    for heading in headings:
        if heading.taken:
            az, el = (g.ravel() for g in np.meshgrid(heading.believed_deg + across, HEIGHTS_DEG))
            _, rays = rays_of_row(heading.row(), np.stack([az, el], axis=1))
            meant.append(directions(az, el))
            heights.append(rays[:, 2])
            weights.append(np.sqrt(np.cos(np.radians(el))))
    root = np.concatenate(weights)
    plumb, *_ = np.linalg.lstsq(np.concatenate(meant) * root[:, None], np.concatenate(heights) * root, rcond=None)
    plumb /= np.linalg.norm(plumb)
    tilt_deg = float(np.degrees(np.arctan2(np.hypot(plumb[0], plumb[1]), plumb[2])))
    toward_deg = float(np.degrees(np.arctan2(plumb[1], -plumb[0]))) if tilt_deg > TILT_MIN_DEG else 0.0
    return Level(tilt_deg, toward_deg, _scallops(headings, half_deg, plumb))


def horizon_at(level: Level, azimuth_deg: float) -> float:
    """Elevation of the horizon's wave at an azimuth of the frame [deg]."""
    lean = np.tan(np.radians(level.tilt_deg)) * np.cos(np.radians(azimuth_deg - level.toward_deg))
    return float(np.degrees(np.arctan(lean)))


def _scallops(headings: Sequence[Heading], half_deg: float, plumb: Floats) -> float:
    """Height of the horizon in the middle of a heading over its two rims, beside the wave; mean over headings."""
    rises = []
    for heading in headings:
        if heading.taken:
            az = heading.believed_deg + np.array([-half_deg, 0.0, half_deg])
            level = np.zeros_like(az)
            _, rays = rays_of_row(heading.row(), np.stack([az, level], axis=1))
            beside = np.degrees(np.arcsin(directions(az, level) @ plumb) - np.arcsin(rays[:, 2]))
            rises.append(beside[1] - 0.5 * (beside[0] + beside[2]))
    return abs(float(np.mean(rises)))


def sectors_of(headings: Sequence[Heading], half_deg: float, to_world: Floats) -> Sectors:
    """What is missing and what is there twice, at eye level."""
    across = np.arange(-half_deg + 0.5 * BIN_DEG, half_deg, BIN_DEG)
    times = np.zeros(round(360.0 / BIN_DEG), dtype=np.int64)
    shown_at = np.full(len(times), np.nan)
    for heading in headings:
        if heading.taken:
            az = heading.believed_deg + across
            _, rays = rays_of_row(heading.row(), np.stack([az, np.zeros_like(az)], axis=1))
            ahead = rays @ to_world
            world_deg = np.degrees(np.arctan2(-ahead[:, 1], ahead[:, 0])) % 360.0
            bins = np.unique(np.floor(world_deg / BIN_DEG).astype(np.int64) % len(times), return_index=True)
            times[bins[0]] += 1
            shown_at[bins[0]] = az[bins[1]]
    missing, start = _widest(times == 0)
    repeated, again = _widest(times > 1)
    black = [heading.believed_deg for heading in headings if not heading.taken]
    copied = [heading.believed_deg for heading in headings if heading.taken and heading.source != heading.index]
    filled = black or copied
    gap_deg = float(np.mean(filled)) if filled else _number(shown_at[(start - 1) % len(times)])
    twice_deg = _number(shown_at[(again + repeated // 2) % len(times)]) if repeated else 0.0
    return Sectors(missing * BIN_DEG, _wrapped(gap_deg) if missing else 0.0, repeated * BIN_DEG, _wrapped(twice_deg))


def _widest(there: NDArray[np.bool_]) -> tuple[int, int]:
    """Length and start of the longest run round a circle; runs of a single bin are rounding."""
    if there.all():
        return len(there), 0
    first = int(np.argmin(there))
    turned = np.roll(there, -first)
    best, start, run = 0, 0, 0
    for i, now in enumerate(turned):
        run = run + 1 if now else 0
        if run > best:
            best, start = run, (first + i - run + 1) % len(there)
    return (best, start) if best > 1 else (0, 0)


def _number(value: float) -> float:
    return float(value) if np.isfinite(value) else 0.0


def _wrapped(azimuth_deg: float) -> float:
    return (azimuth_deg + 180.0) % 360.0 - 180.0


__all__ = ["Level", "Sectors", "horizon_at", "level_of", "sectors_of"]
