"""What moves in a take: who walked on between headings, what stirred between exposures, who stands at the camera.

Each thing stands in the scene at each of its places, seen only by the shots (bits) that met it there::

    bit k       heading k, counted from 0
    bit 12 + j  exposure j of any heading
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any

import shapely
from shapely.geometry import LineString, Point

from scoring.floor.shapes import storeys
from scoring.frame import figures
from scoring.frame.bodies import Body, body_of, set_down
from scoring.frame.scene import ALL_SHOTS, Mover
from scoring.frame.solids import Face, Vector
from scoring.frame.take import Fault, Take

EXPOSURE_BIT = 12
NEAREST_M = 0.7
BEHIND_M = 0.6
"""The operator stands this far behind the lens."""
BODY_M = 0.30
"""Half the width of a body with its arms."""
ROOM_M = 0.28
"""Free space that a body keeps to walls and furniture."""
_STANDS = {"fan": figures.fan_stand, "plant": figures.pot}
"""What of a thing that stirs keeps still."""


def movers_of(take: Take, lens_point_m: Vector) -> list[Mover]:
    """The movers of a take, for the scene."""
    out: list[Mover] = []
    for fault in take.faults:
        if fault.code == "F16":
            out += _walkers(take, fault, lens_point_m)
        elif fault.code == "F17":
            out += _stirring(take, fault, lens_point_m)
        elif fault.code == "F19" and fault.word("kind") == "self":
            out += _operator(take, lens_point_m)
    return out


def exposure_masks(take: Take, source: int) -> tuple[int, ...]:
    """The shots that each exposure of a heading sees: one where nothing stirs."""
    stirring = take.fault("F17")
    if stirring is None:
        return (1 << source,)
    return tuple(1 << source | 1 << (EXPOSURE_BIT + j) for j in range(int(stirring.number("copies"))))


@cache
def _built(figure: Callable[[], list[Face]]) -> Body:
    """A figure as arrays, built once: it is set down where it is met."""
    return body_of(figure())


def _walkers(take: Take, fault: Fault, lens: Vector) -> list[Mover]:
    count = take.kit.headings
    copies, first = int(fault.number("copies")), int(fault.number("seam")) - 1
    seam_deg = (first + 0.5) * 360.0 / count
    away_m = fault.number("away_m")
    free = _free(take, lens)
    spots = [(seam_deg, first)]
    if copies > 1:
        sides = (-1.0, 1.0)
        spots = [(_beside(seam_deg, side, free, lens, take, away_m), first + (side > 0.0)) for side in sides]
    if copies > 2:
        spots.append((_beside(seam_deg + 360.0 / count, 1.0, free, lens, take, away_m), first + 2))
    out: list[Mover] = []
    for k, (azimuth_deg, heading) in enumerate(spots):
        foot = _foot(take, lens, azimuth_deg, away_m, free)
        turned = take.facing_deg - azimuth_deg + 90.0 + 55.0 * k
        who = figures.person if fault.word("who") == "person" else figures.cat
        out.append((set_down(_built(who), foot, turned), 1 << (heading % count)))
    return out


def _stirring(take: Take, fault: Fault, lens: Vector) -> list[Mover]:
    away_m, azimuth_deg = fault.number("away_m"), fault.number("azimuth_deg")
    what = fault.word("what")
    toward = take.facing_deg - azimuth_deg
    if what == "curtain":
        middle, toward = _at_a_window(take, lens, toward, away_m)
    else:
        middle = _foot(take, lens, azimuth_deg, away_m, _free(take, lens))
    aside = (-math.sin(math.radians(toward)), math.cos(math.radians(toward)))
    step_m = math.hypot(middle[0] - lens[0], middle[1] - lens[1]) * math.tan(math.radians(fault.number("shift_deg")))
    copies = int(fault.number("copies"))
    out: list[Mover] = []
    if what in _STANDS:
        out.append((set_down(_built(_STANDS[what]), middle, 0.0), ALL_SHOTS))
    for j in range(copies):
        by = step_m * (j - 0.5 * (copies - 1))
        foot = (middle[0] + by * aside[0], middle[1] + by * aside[1], middle[2])
        if what == "fan":
            turn = math.degrees(by / 0.2)
            body = set_down(body_of(figures.fan_head(turn)), middle, toward + 180.0)
        elif what == "curtain":
            body = set_down(_built(figures.curtain), foot, toward + 180.0)
        elif what == "plant":
            body = set_down(_built(figures.leaves), foot, 0.0)
        else:
            body = set_down(_built(figures.cat), foot, toward + 90.0)
        out.append((body, 1 << (EXPOSURE_BIT + j)))
    return out


def _at_a_window(take: Take, lens: Vector, toward_deg: float, away_m: float) -> tuple[Vector, float]:
    """Before the window that lies nearest to a direction, and the direction out of it; the open room without one."""
    storey = storeys(take.plan)[take.station.level]
    at = Point(lens[:2])
    room = min(storey.rooms, key=lambda room: room.polygon.distance(at))
    best, found = math.inf, None
    for hole in storey.holes:
        if hole.opening.kind != "window" or hole.polygon.distance(room.polygon) > 0.01:
            continue
        dx, dy = hole.middle[0] - lens[0], hole.middle[1] - lens[1]
        off = abs((math.degrees(math.atan2(dy, dx)) - toward_deg + 180.0) % 360.0 - 180.0)
        if off < best:
            inward = 1.0 if hole.normal[0] * dx + hole.normal[1] * dy < 0.0 else -1.0
            reach = 0.5 * hole.opening.depth_m + 0.14
            foot = (
                hole.middle[0] + inward * reach * hole.normal[0],
                hole.middle[1] + inward * reach * hole.normal[1],
                room.floor,
            )
            out = math.degrees(math.atan2(-inward * hole.normal[1], -inward * hole.normal[0]))
            best, found = off, (foot, out)
    if found is None:
        return _foot(take, lens, take.facing_deg - toward_deg, away_m, _free(take, lens)), toward_deg
    return found


def _operator(take: Take, lens: Vector) -> list[Mover]:
    """Whoever turns the camera, behind it in every heading: never in the picture but by a mirror."""
    count = take.kit.headings
    out: list[Mover] = []
    for k in range(count):
        ahead = take.facing_deg - k * 360.0 / count
        x = lens[0] - BEHIND_M * math.cos(math.radians(ahead))
        y = lens[1] - BEHIND_M * math.sin(math.radians(ahead))
        out.append((set_down(_built(figures.person), (x, y, _floor(take, lens)), ahead), 1 << k))
    return out


def _floor(take: Take, lens: Vector) -> float:
    low = take.fault("F19")
    height_m = low.number("height_m") if low and low.word("kind") == "height" else take.kit.lens_height_m
    return lens[2] - height_m


def _beside(seam_deg: float, side: float, free: Any, lens: Vector, take: Take, away_m: float) -> float:
    """An azimuth to one side of a seam, clear of it, with as much room to stand as there is."""
    best, farthest = seam_deg, -1.0
    for more_deg in (0.0, 5.0, 10.0, 15.0):
        azimuth_deg = seam_deg
        for _ in range(2):
            foot = _foot(take, lens, azimuth_deg, away_m, free)
            far = math.hypot(foot[0] - lens[0], foot[1] - lens[1])
            azimuth_deg = seam_deg + side * (math.degrees(math.atan(BODY_M / far)) + 4.0 + more_deg)
        if far > farthest + 0.1:
            best, farthest = azimuth_deg, far
    return best


def _foot(take: Take, lens: Vector, azimuth_deg: float, away_m: float, free: Any) -> Vector:
    """A place to stand at that azimuth, as far off as is free."""
    angle = math.radians(take.facing_deg - azimuth_deg)
    c, s = math.cos(angle), math.sin(angle)
    reach = LineString([lens[:2], (lens[0] + away_m * c, lens[1] + away_m * s)])
    inside = shapely.get_parts(reach.intersection(free))
    met = [line for line in inside if line.geom_type == "LineString" and not line.is_empty]
    far = max((Point(lens[:2]).distance(Point(line.coords[-1])) for line in met), default=away_m)
    far = max(min(far, away_m), min(NEAREST_M, away_m))
    return lens[0] + far * c, lens[1] + far * s, _floor(take, lens)


def _free(take: Take, lens: Vector) -> Any:
    """Floor of the level where a body has room."""
    storey = storeys(take.plan)[take.station.level]
    air = shapely.union_all([room.polygon for room in storey.rooms] + [hole.polygon for hole in storey.holes])
    solid = shapely.union_all([solid.polygon for solid in storey.solids if solid.base < lens[2]])
    return air.difference(solid.buffer(ROOM_M)).buffer(-ROOM_M)


__all__ = ["exposure_masks", "movers_of"]
