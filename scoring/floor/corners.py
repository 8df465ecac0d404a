"""Corners and openings seen: what a visitor looks for first in a room.

A *corner* is a convex corner of a room where two walls meet. Each of its two *stubs*, the first stretch of wall
from the corner, counts as seen when one station within range sees all of it, measured a little inside the room.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numba import njit
from numpy.typing import NDArray

from scoring.floor.bands import band
from scoring.floor.cover import SpaceKey
from scoring.floor.findings import Corner, OpeningSeen, Spot
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.shapes import Room
from scoring.floor.sight import Array, inside
from scoring.floor.strips import strip

INSET_M = 0.02 * (1.0 - 1e-6)
"""How far inside the walls a stub is looked at: a point on a wall has no side.

A hair less than a round figure, as the stub is, because furniture is drawn at round distances from walls.
"""


@dataclass(frozen=True, slots=True)
class Targets:
    """Stub ends and opening sides of a level.

    ``stubs`` has shape (corners, 2 stubs, 2 ends, 2); ``sides`` (openings, 2 sides, 2) [m].
    """

    keys: tuple[SpaceKey, ...]
    corners: tuple[Spot, ...]
    stubs: Array
    openings: tuple[str, ...]
    sides: Array


@njit(nogil=True, cache=True)
def sees(edges: Array, x: float, y: float, at: Array, reach: Array) -> NDArray[np.bool_]:
    """Which of the points (n, 2) are seen from (x, y) within their reach (n,)."""
    n = at.shape[0]
    seen = np.zeros(n, np.bool_)
    if not inside(edges, x, y):
        return seen
    for i in range(n):
        if math.hypot(at[i, 0] - x, at[i, 1] - y) <= reach[i]:
            clear, _, _ = strip(edges, x, y, at[i, 0], at[i, 1])
            seen[i] = clear > 0.0
    return seen


def targets(place: Place, level: int) -> Targets:
    """The corners and openings of a level; kept by the place."""

    def make() -> Targets:
        storey = place.storeys[level]
        keys: list[SpaceKey] = []
        corners: list[Spot] = []
        stubs: list[Array] = []
        for room in storey.rooms:
            if room.space.outdoor:
                continue
            air = band(place, level, room.floor + place.kit.lens_height_m, walk=False)
            for at, ends, behind in _corners(room, place.standard.corner_stub_m):
                if _walled(air.region, ends, behind):
                    keys.append((level, room.space.id))
                    corners.append(at)
                    stubs.append(ends)
        sides = []
        for hole in storey.holes:
            d = hole.opening.depth_m / 2.0 + INSET_M
            (mx, my), (nx, ny) = hole.middle, hole.normal
            sides.append([(mx + d * nx, my + d * ny), (mx - d * nx, my - d * ny)])
        return Targets(
            tuple(keys),
            tuple(corners),
            np.array(stubs, dtype=float).reshape(len(stubs), 2, 2, 2),
            tuple(hole.opening.id for hole in storey.holes),
            np.array(sides, dtype=float).reshape(len(sides), 2, 2),
        )

    return place.keep(("targets", level), make)


def _corners(room: Room, stub: float) -> list[tuple[Spot, Array, Array]]:
    """Convex corners: where, the ends of both stubs inside the room (2, 2, 2), and a spot behind each wall (2, 2)."""
    at = shapely.get_coordinates(room.polygon.exterior)[:-1]
    found = []
    for i, here in enumerate(at):
        into, out = here - at[i - 1], at[(i + 1) % len(at)] - here
        a, b = into / math.hypot(*into), out / math.hypot(*out)
        if a[0] * b[1] - a[1] * b[0] <= 1e-6:
            continue
        near, far = INSET_M, max(stub * (1.0 - 1e-6), INSET_M)
        in_a, in_b = np.array([-a[1], a[0]]) * INSET_M, np.array([-b[1], b[0]]) * INSET_M
        ends = [[here - a * near + in_a, here - a * far + in_a], [here + b * near + in_b, here + b * far + in_b]]
        behind = [here - a * near - in_a, here + b * near - in_b]
        found.append(((float(here[0]), float(here[1])), np.array(ends), np.array(behind)))
    return found


def _walled(air: Any, ends: Array, behind: Array) -> bool:
    """Whether both sides of the corner are wall, and nothing as high as the lens stands in it."""
    free = shapely.contains_xy(air, ends.reshape(-1, 2)[:, 0], ends.reshape(-1, 2)[:, 1])
    through = shapely.contains_xy(air, behind[:, 0], behind[:, 1])
    return bool(free.all() and not through.any())


def corners_seen(place: Place, stations: Sequence[Station]) -> dict[SpaceKey, tuple[Corner, ...]]:
    """Per space, its corners with the number of stubs that some station sees."""
    found: dict[SpaceKey, list[Corner]] = {}
    for level in range(len(place.storeys)):
        what = targets(place, level)
        reach = np.full(len(what.keys) * 4, place.standard.sight_range_m)
        seen = np.zeros((len(what.keys), 2), dtype=bool)
        for station in stations:
            z = place.lens_z(station) if station.level == level else None
            if z is not None and len(what.keys):
                edges = band(place, level, z, walk=False).edges
                ends = sees(edges, station.x, station.y, what.stubs.reshape(-1, 2), reach)
                seen |= ends.reshape(-1, 2, 2).all(axis=2)
        for key, at, stubs in zip(what.keys, what.corners, seen.sum(axis=1), strict=True):
            found.setdefault(key, []).append(Corner(at, int(stubs)))
    return {key: tuple(corners) for key, corners in found.items()}


def openings_seen(place: Place, stations: Sequence[Station]) -> tuple[OpeningSeen, ...]:
    """Every opening with the stations that see its middle, from either side and within range."""
    found = []
    for level in range(len(place.storeys)):
        what = targets(place, level)
        if not what.openings:
            continue
        by: list[list[int]] = [[] for _ in what.openings]
        for i, station in enumerate(stations):
            z = place.lens_z(station) if station.level == level else None
            if z is None:
                continue
            room, standard = place.room(station), place.standard
            outdoor = room is not None and room.space.outdoor
            far = standard.sight_range_outdoor_m if outdoor else standard.sight_range_m
            edges = band(place, level, z, walk=False).edges
            sides = sees(edges, station.x, station.y, what.sides.reshape(-1, 2), np.full(len(by) * 2, far))
            for k in np.flatnonzero(sides.reshape(-1, 2).any(axis=1)):
                by[k].append(i)
        found += [OpeningSeen(level, name, tuple(who)) for name, who in zip(what.openings, by, strict=True)]
    return tuple(found)


__all__ = ["Targets", "corners_seen", "openings_seen", "sees", "targets"]
