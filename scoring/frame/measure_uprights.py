"""Uprights: long edges of the room that should stand plumb, and how far the merged frame leans each of them.

Along the way that an upright through some place takes in the frame the picture is darker on one side all the way, if
there is an upright edge: a door jamb, the side of a window, a corner of two walls::

      plumb in the frame     as it is shown
            │                   ╲             lean = angle between the two at the middle of the edge,
            │                    ╲                   above 0 where its top is to the right
            │                     ╲           long = from its foot to its top
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from scoring.frame.measure_seams import Floats, directions
from scoring.frame.pose import Heading, placed_rows, rays_of_row
from scoring.frame.probe import FAR_M
from scoring.frame.threads import on_threads

ACROSS_DEG, UP_DEG = 0.5, 1.0
"""Ways are tried so far apart, and looked along in such steps."""
REACH_DEG = 50.0
"""Up and down from eye level; beyond, a flat picture bends everything."""
BESIDE_DEG = 0.7
"""The two sides of an edge are read so far beside it."""
STEPS_TOGETHER = 3
"""An edge may be hidden for a step, or drown in noise."""
OFF_SEAM_DEG = 5.0
"""So near to a seam two pictures are mixed."""
LONG_MIN_DEG = 15.0
"""A shorter edge says little of plumb."""
APART_DEG = 15.0
"""Of uprights nearer to each other than this the longest is told."""
UPRIGHTS_MAX = 6


@dataclass(frozen=True, slots=True)
class Upright:
    """One long upright edge as the merged frame shows it."""

    azimuth_deg: float
    """Of its middle."""
    elevation_deg: float
    long_deg: float
    lean_deg: float
    """Off plumb; above 0 its top is to the right."""


def uprights_of(
    headings: Sequence[Heading], half_deg: float, levels: Floats, edge_levels: float
) -> tuple[Upright, ...]:
    """The uprights of a merged frame, those first whose top stands farthest off plumb over their foot.

    ``levels`` (h, 2 h) are the frame's luminance levels of 255, ``edge_levels`` the least contrast that counts.
    """
    taken = [heading for heading in headings if heading.taken]
    own = on_threads(lambda heading: _in_heading(heading, half_deg, levels, edge_levels), taken)
    found = [one for some in own for one in some]
    kept: list[Upright] = []
    for one in sorted(found, key=lambda one: -one.long_deg):
        if all(abs((one.azimuth_deg - other.azimuth_deg + 180.0) % 360.0 - 180.0) >= APART_DEG for other in kept):
            kept.append(one)
    return tuple(sorted(kept, key=lambda one: -one.long_deg * np.tan(np.radians(abs(one.lean_deg))))[:UPRIGHTS_MAX])


def leaning_both_ways(uprights: Sequence[Upright]) -> tuple[Upright, ...]:
    """The first of some uprights, and the first that leans the other way, where one does."""
    return (*uprights[:1], *[one for one in uprights if one.lean_deg * uprights[0].lean_deg < 0.0][:1])


def _in_heading(heading: Heading, half_deg: float, levels: Floats, edge_levels: float) -> list[Upright]:
    across = np.arange(-half_deg + OFF_SEAM_DEG, half_deg - OFF_SEAM_DEG, ACROSS_DEG)
    up = np.arange(-REACH_DEG, REACH_DEG + 0.5 * UP_DEG, UP_DEG)
    azimuth, elevation = _ways(heading, across, up)
    beside = BESIDE_DEG / np.cos(np.radians(elevation))
    step = _at(levels, azimuth + beside, elevation) - _at(levels, azimuth - beside, elevation)
    step = uniform_filter1d(step, STEPS_TOGETHER, axis=0, mode="nearest")
    found = []
    for column in range(len(across)):
        first, last = _longest(step[:, column], edge_levels)
        if (last - first) * UP_DEG >= LONG_MIN_DEG:
            at = (first + last) // 2
            aside = (azimuth[at + 1, column] - azimuth[at - 1, column] + 180.0) % 360.0 - 180.0
            aside *= np.cos(np.radians(elevation[at, column]))
            rise = elevation[at + 1, column] - elevation[at - 1, column]
            found.append(
                Upright(
                    azimuth_deg=float(azimuth[at, column]),
                    elevation_deg=float(elevation[at, column]),
                    long_deg=(last - first) * UP_DEG,
                    lean_deg=float(np.degrees(np.arctan2(aside, rise))),
                )
            )
    return found


def _ways(heading: Heading, across_deg: Floats, up_deg: Floats) -> tuple[Floats, Floats]:
    """Azimuth and elevation in the frame (up, across) of what lies straight over and under some places."""
    az = heading.believed_deg + across_deg
    _, rays = rays_of_row(heading.row(), np.stack([az, np.zeros_like(az)], axis=1))
    world_deg = np.degrees(np.arctan2(-rays[:, 1], rays[:, 0]))
    over, way = np.meshgrid(up_deg, world_deg, indexing="ij")
    points = heading.origin_m + FAR_M * directions(way.ravel(), over.ravel())
    placed = placed_rows(heading.row(), np.ascontiguousarray(points))
    return placed[:, 0].reshape(over.shape), placed[:, 1].reshape(over.shape)


def _at(levels: Floats, azimuth_deg: Floats, elevation_deg: Floats) -> Floats:
    """Levels of the frame's pixels at places, the frame being closed at its rims."""
    height, width = levels.shape
    x = np.floor((azimuth_deg / 360.0 + 0.5) * width).astype(np.int64) % width
    y = np.clip(np.floor((0.5 - elevation_deg / 180.0) * height).astype(np.int64), 0, height - 1)
    return np.asarray(levels[y, x], dtype=np.float64)


def _longest(steps: NDArray[np.float64], least: float) -> tuple[int, int]:
    """First and last of the longest run of steps to one side, each of at least so much."""
    best = (0, 0)
    for sign in (1.0, -1.0):
        edges = np.diff(np.concatenate([[False], sign * steps >= least, [False]]).astype(np.int8))
        for first, end in zip(np.nonzero(edges == 1)[0], np.nonzero(edges == -1)[0], strict=True):
            if end - 1 - first > best[1] - best[0]:
                best = (int(first), int(end) - 1)
    return best


__all__ = ["Upright", "leaning_both_ways", "uprights_of"]
