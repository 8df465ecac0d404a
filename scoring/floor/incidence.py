"""How squarely walls are met: which stretches of wall are seen, and which of them only at a flat angle.

A wall point q seen from a lens at s is met at the incidence a, the angle between the line of sight and the wall's
normal: 0 square on, near 90 grazing. A picture spends 1 / cos(a) times fewer pixels on a metre of such wall (twice
fewer at 60 degrees), so a wall that no station meets within the standard's angle is told; it is never failed.
Along a wall with direction d, seen from the height h off it and abreast of its point t_s::

          t_s - h tan(limit)   t_s   t_s + h tan(limit)        a <= limit between those two,
      a ═══════●════════════════●════════════════●══════ b     exactly; outside them the wall is flat
                \\              │ h            /               from this station
                   \\           │         /
                        \\      s    /

The wall is the outline of the indoor rooms at the height of the lens. The stretches seen are the sides of the
station's visibility polygon that lie on that outline, so doorways, windows and tall things leave their gaps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from scoring.floor.bands import WELD_M, band, walls
from scoring.floor.findings import Spot, WallsSeen
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sight import Array, inside, visibility

ON_WALL_M = 4.0 * WELD_M
"""A side of a view this near to an outline runs along it."""

SHORT_M = 0.02
"""Shorter flat stretches are not drawn."""


@dataclass(frozen=True, slots=True)
class Outline:
    """The indoor outlines of a level: ``sides`` (n, 4) with the room to the left [m], ``of`` (n,) the room of each."""

    sides: Array
    of: NDArray[np.intp]
    spaces: tuple[str, ...]


def outline(place: Place, level: int) -> Outline:
    """The indoor outlines of a level; kept by the place."""

    def make() -> Outline:
        indoor = [room for room in place.storeys[level].rooms if not room.space.outdoor]
        sides = [walls(orient(room.polygon)) for room in indoor]
        of = np.repeat(np.arange(len(indoor)), [len(some) for some in sides])
        return Outline(np.vstack([np.empty((0, 4)), *sides]), of, tuple(room.space.id for room in indoor))

    return place.keep(("outline", level), make)


@quiet
def walls_seen(place: Place, stations: Sequence[Station]) -> tuple[WallsSeen, ...]:
    """Per indoor space of which some wall is seen within range: how much, and how much of it only at a flat angle."""
    found = []
    for level in range(len(place.storeys)):
        what = outline(place, level)
        pieces = [_stretches(place, what, station) for station in stations if station.level == level]
        every = np.vstack([np.empty((0, 5)), *pieces])
        if not len(every):
            continue
        every = every[np.argsort(every[:, 0], kind="stable")]
        seen_m, flat = _told(every, len(what.sides))
        room_m = np.bincount(what.of, weights=seen_m, minlength=len(what.spaces))
        lines: dict[int, list[tuple[Spot, Spot]]] = {}
        flat_m = np.zeros(len(what.spaces))
        for side, low, high in flat:
            room = int(what.of[int(side)])
            flat_m[room] += high - low
            if high - low >= SHORT_M:
                lines.setdefault(room, []).append(_line(what.sides[int(side)], low, high))
        for room, id_ in enumerate(what.spaces):
            if room_m[room] > 0.0:
                some = tuple(lines.get(room, ()))
                found.append(WallsSeen(level, id_, float(room_m[room]), float(flat_m[room]), some))
    return tuple(found)


def _line(side: Array, low: float, high: float) -> tuple[Spot, Spot]:
    way = (side[2:] - side[:2]) / math.hypot(side[2] - side[0], side[3] - side[1])
    a, b = side[:2] + low * way, side[:2] + high * way
    return (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))


def _stretches(place: Place, what: Outline, station: Station) -> Array:
    """What one station sees of the outlines: side, from, to, and the part of it met squarely, from, to, (k, 5) [m]."""
    z = place.lens_z(station)
    if z is None:
        return np.empty((0, 5))
    edges = band(place, station.level, z, walk=False).edges
    if not inside(edges, station.x, station.y):
        return np.empty((0, 5))
    try:
        view = visibility(edges, station.x, station.y, place.standard.sight_range_m)
    except ValueError:  # on a wall: no side of it is defined, so nothing is seen
        return np.empty((0, 5))
    steep = math.tan(math.radians(min(place.standard.incidence_report_deg, 89.9)))
    found: Array = _met(view, what.sides, station.x, station.y, steep)
    return found


@njit(nogil=True, cache=True)
def _met(view: Array, sides: Array, x: float, y: float, steep: float) -> Array:
    """Each stretch of a side that a side of the view lies on; empty where no part is met squarely: from = to."""
    m = view.shape[0]
    out = np.empty((2 * m + 8, 5))
    count = 0
    for s in range(sides.shape[0]):
        ax = sides[s, 0]
        ay = sides[s, 1]
        size = math.hypot(sides[s, 2] - ax, sides[s, 3] - ay)
        dx = (sides[s, 2] - ax) / size
        dy = (sides[s, 3] - ay) / size
        off = dx * (y - ay) - dy * (x - ax)
        if off <= ON_WALL_M:
            continue
        abreast = dx * (x - ax) + dy * (y - ay)
        near = False
        last = 0.0
        for k in range(m + 1):
            px = view[k % m, 0] - ax
            py = view[k % m, 1] - ay
            at = dx * px + dy * py
            on = abs(dx * py - dy * px) <= ON_WALL_M
            if k > 0 and on and near and count < out.shape[0]:
                low = max(0.0, min(last, at))
                high = min(size, max(last, at))
                if high - low > ON_WALL_M:
                    out[count, 0] = s
                    out[count, 1] = low
                    out[count, 2] = high
                    out[count, 3] = min(max(low, abreast - off * steep), high)
                    out[count, 4] = max(min(high, abreast + off * steep), out[count, 3])
                    count += 1
            near = on
            last = at
    return out[:count]


@njit(nogil=True, cache=True)
def _told(every: Array, sides: int) -> tuple[Array, Array]:
    """Of stretches in order of their sides: the length seen of each side (sides,) and what is met only at a flat
    angle, (k, 3) of side, from, to [m]."""
    seen_m = np.zeros(sides)
    flat = np.empty((4 * every.shape[0], 3))
    count = 0
    first = 0
    while first < every.shape[0]:
        stop = first
        while stop < every.shape[0] and every[stop, 0] == every[first, 0]:
            stop += 1
        side = int(every[first, 0])
        cuts = np.sort(every[first:stop, 1:5].copy().ravel())
        for c in range(cuts.size - 1):
            size = cuts[c + 1] - cuts[c]
            middle = (cuts[c] + cuts[c + 1]) / 2.0
            seen = False
            square = False
            for i in range(first, stop):
                seen |= every[i, 1] < middle < every[i, 2]
                square |= every[i, 3] < middle < every[i, 4]
            if not seen:
                continue
            seen_m[side] += size
            if square or size == 0.0:
                continue
            if count and flat[count - 1, 0] == side and flat[count - 1, 2] == cuts[c]:
                flat[count - 1, 2] = cuts[c + 1]
            else:
                flat[count, 0] = side
                flat[count, 1] = cuts[c]
                flat[count, 2] = cuts[c + 1]
                count += 1
        first = stop
    return seen_m, flat[:count]


__all__ = ["Outline", "outline", "walls_seen"]
