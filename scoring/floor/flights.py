"""Sight between different heights: over a flight, a step of a split floor, down to a half-landing.

The two lenses and the level direction across their line span a sloping plane. What that plane cuts of the air
of both levels and of the flights between them is a plane region like any band; the link's clear width is read
in it. It clears the treads, the slab's edge and the headroom exactly where the plane does::

                         ___________ slab
        ●───────\\______/            │
        │  plane   ──────\\_______    │
     ___│ head            ──────\\_______●
         └┐                             │
          └┐ treads (nosing line)       │ foot
"""

from __future__ import annotations

import math
from typing import Any

import shapely
from shapely.geometry import Polygon

from scoring.floor.bands import tilted, walls
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.shapes import Height, Run
from scoring.floor.sight import Array

LOOK_M = 1.0
"""How far to either side of a sloping line its walls are looked for: a clear width is read up to twice this."""


def plane_through(ax: float, ay: float, az: float, bx: float, by: float, bz: float) -> Height:
    """The plane through two points that is level across their line. The points need some distance in plan."""
    dx, dy = bx - ax, by - ay
    long2 = dx * dx + dy * dy
    gx, gy = (bz - az) * dx / long2, (bz - az) * dy / long2
    return (az - gx * ax - gy * ay, gx, gy)


@quiet
def run_between(place: Place, a: Station, b: Station) -> Run | None:
    """The flight that the line from a to b runs over; None when it runs over none that joins their levels."""
    line = shapely.LineString([(a.x, a.y), (b.x, b.y)])
    best: tuple[float, Run] | None = None
    for run in place.runs:
        if {run.flight.foot.level, run.flight.head.level} != {a.level, b.level}:
            continue
        length = line.intersection(run.polygon).length
        if length > 0.0 and (best is None or length > best[0]):
            best = (length, run)
    return None if best is None else best[1]


def slope_walls(place: Place, a: Station, az: float, b: Station, bz: float) -> Array:
    """The walls of the sloping plane between two lenses at heights az and bz [m], shape (n, 4).

    Only a corridor of ``LOOK_M`` round the line is drawn; its own sides count as walls.
    """
    plane = plane_through(a.x, a.y, az, b.x, b.y, bz)
    size = math.hypot(b.x - a.x, b.y - a.y)
    ux, uy = LOOK_M * (b.x - a.x) / size, LOOK_M * (b.y - a.y) / size
    corridor = Polygon(
        [
            (a.x - ux + uy, a.y - uy - ux),
            (b.x + ux + uy, b.y + uy - ux),
            (b.x + ux - uy, b.y + uy + ux),
            (a.x - ux - uy, a.y - uy + ux),
        ]
    )
    region: Any = tilted(place, sorted({a.level, b.level}), plane, walk=True, within=corridor)
    return walls(region)


def apart_m(a: Station, az: float, b: Station, bz: float) -> float:
    """Distance between two lenses [m]."""
    return math.hypot(a.x - b.x, a.y - b.y, az - bz)


__all__ = ["apart_m", "plane_through", "run_between", "slope_walls"]
