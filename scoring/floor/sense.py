"""Whether a changed room still makes sense: one can get in and about, nothing stands in anything or in the way.

Nothing here is absolute. A change is *fair* when the room has no more trouble after it than it had before, so that
a cramped room that was drawn on purpose stays allowed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from scoring.floor.joins import leaf_line, opening_quad
from scoring.floor.plan import WALK_KINDS, Flight, Level, Opening, Space

DOOR_CLEAR_M = 0.7
"""Depth before a door that stays free of furniture; common practice, no source."""
FLIGHT_CLEAR_M = 0.9
WALK_OVER_M = 1.9
"""Things that begin higher than this are walked under."""
WALK_RADIUS_M = 0.25
HALL_WIDTH_MIN_M = 0.914
"""Hallways: International Residential Code R311.6 (2018), read second-hand. It teaches; it is no code check."""
HABITABLE_MIN_M = 2.134
"""Least width of a habitable room: International Residential Code R304 (2018), from memory. No code check."""
HALL_USES = frozenset({"hall", "landing", "half-landing"})
HABITABLE_USES = frozenset({"living", "dining", "bedroom", "study"})
TOLERANCE_M2 = 1e-4


def trouble_m2(level: Level, space: Space, flights: Sequence[Flight], number: int) -> float:
    """How much is in the way in a room [m²]: areas of things in each other, in walls, before doors, in open leaves."""
    shape = Polygon(space.outline)
    things = [(thing, Polygon(thing.outline)) for thing in level.things if thing.space == space.id]
    total = 0.0
    for i, (a, a_shape) in enumerate(things):
        total += float(a_shape.difference(shape).area)
        for b, b_shape in things[:i]:
            if min(a.height_m, b.height_m) - max(a.base_m, b.base_m) > 1e-3 and a_shape.intersects(b_shape):
                total += float(a_shape.intersection(b_shape).area)
    low = [a_shape for a, a_shape in things if a.base_m < WALK_OVER_M]
    ways = [zone for opening in doors(level, space) if (zone := before_door(opening, shape)) is not None]
    ways += list(flight_ends(space, flights, number))
    for zone in [*ways, *leaves(level, space)]:
        total += sum(float(zone.intersection(one).area) for one in low if zone.intersects(one))
    for i, zone in enumerate(ways):
        total += sum(float(zone.intersection(other).area) for other in ways[:i])
    for leaf in leaves(level, space):
        total += float(leaf.difference(shape.buffer(0.02)).area)
    return total


def doors(level: Level, space: Space) -> list[Opening]:
    """The doors and passages of a room."""
    return [one for one in level.openings if one.kind in WALK_KINDS and space.id in one.between]


def before_door(opening: Opening, room: Polygon) -> Polygon | None:
    """The floor before a door, on this room's side; None when the door is not at this room."""
    a, b = np.asarray(opening.jambs[0]), np.asarray(opening.jambs[1])
    along = (b - a) / np.linalg.norm(b - a)
    off = np.array([-along[1], along[0]]) * opening.depth_m / 2.0
    for side in (off, -off):
        deep = side / np.linalg.norm(side) * DOOR_CLEAR_M
        zone = Polygon([a + side, b + side, b + side + deep, a + side + deep])
        if room.intersection(zone).area > 0.5 * zone.area:
            return zone
    return None


def flight_ends(space: Space, flights: Sequence[Flight], number: int) -> Iterator[BaseGeometry]:
    """The floor before the foot or head of each flight at this room."""
    shape = Polygon(space.outline)
    for flight in flights:
        for end in (flight.foot, flight.head):
            if end.level == number and end.space == space.id:
                yield LineString(end.edge).buffer(FLIGHT_CLEAR_M, cap_style="flat").intersection(shape)


def leaves(level: Level, space: Space) -> Iterator[Polygon]:
    """The open leaves that stand in this room."""
    shape = Polygon(space.outline)
    for opening in level.openings:
        if opening.leaf is not None and opening.leaf.into == space.id and opening.leaf.open_deg > 0.0:
            yield leaf_line(opening, shape).buffer(opening.leaf.thickness_m / 2.0, cap_style="flat")


def parted(level: Level, space: Space) -> int:
    """Into how many parts furniture cuts the way between a room's doors."""
    shape = Polygon(space.outline)
    low = [Polygon(one.outline) for one in level.things if one.space == space.id and one.base_m < WALK_OVER_M]
    free = shape.difference(shapely.union_all(low)) if low else shape
    walk = shapely.get_parts(free.buffer(-WALK_RADIUS_M))
    found = set()
    for opening in doors(level, space):
        zone = before_door(opening, shape)
        if zone is None:
            continue
        spot = Point(zone.centroid)
        near = [i for i, part in enumerate(walk) if part.distance(spot) <= WALK_RADIUS_M]
        found.add(near[0] if near else -1)
    return len(found)


def apart(level: Level) -> float:
    """Area by which openings run through each other [m²], a hand's breadth between them counted in."""
    quads = [opening_quad(one).buffer(0.05, join_style="mitre") for one in level.openings]
    tree = shapely.STRtree(quads)
    pairs = tree.query(quads, predicate="intersects").T
    return sum(float(quads[i].intersection(quads[j]).area) for i, j in pairs if i < j)


def roomy(old: Space, new: Space) -> bool:
    """Whether a re-dimensioned room is still as wide as its use asks for (or as it was drawn)."""
    if new.use in HALL_USES:
        return _as_wide(old, new, HALL_WIDTH_MIN_M)
    if new.use in HABITABLE_USES:
        return _as_wide(old, new, HABITABLE_MIN_M)
    return True


def _as_wide(old: Space, new: Space, width: float) -> bool:
    """Whether a disc of that width gets about in the new room in as few parts as in the old one."""
    inset = -(width / 2.0 - 1e-6)
    was = len(shapely.get_parts(Polygon(old.outline).buffer(inset)))
    now = len(shapely.get_parts(Polygon(new.outline).buffer(inset)))
    return was == 0 or now == was


__all__ = ["TOLERANCE_M2", "apart", "before_door", "doors", "leaves", "parted", "roomy", "trouble_m2"]
