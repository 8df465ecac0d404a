"""Where a frame for looking at is taken: allowed stations with something near and something far to compare."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import shapely
from shapely import Point, Polygon

from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import DOOR_LINE_USES, Station
from scoring.floor.shapes import Room
from scoring.floor.stands import stand
from scoring.kinds.case import snapped

NEAR_M = 1.1
FAR_M = 4.2
CLEAR_M = 0.45
"""Nothing at lens height is nearer: a frame with a wall at arm's length teaches that one thing only."""
THROWS = 300


@quiet
def viewpoints(
    place: Place, rng: Random, *, most: int, spaces: Sequence[str] = (), outdoor: bool = False
) -> list[Station]:
    """Up to ``most`` allowed stations in random rooms (of the named ones, if any), with things near and far."""
    rooms = [
        (level, room)
        for level, storey in enumerate(place.storeys)
        for room in storey.rooms
        if room.space.outdoor is outdoor
        and room.space.use not in DOOR_LINE_USES
        and (not spaces or room.space.id in spaces)
        and _reach(room) >= FAR_M
    ]
    found: list[Station] = []
    weights = [room.polygon.area**0.5 for _, room in rooms]
    for _ in range(THROWS if rooms else 0):
        level, room = rng.choices(rooms, weights)[0]
        left, low, right, high = room.polygon.bounds
        station = snapped(Station(level=level, x=rng.uniform(left, right), y=rng.uniform(low, high)))
        at = Point(station.x, station.y)
        if not shapely.contains(room.polygon, at) or _farthest(room, at) < FAR_M or not _near(place, level, room, at):
            continue
        held = stand(place, station)
        if held.allowed and held.firm and held.clearance_m >= CLEAR_M:
            found.append(station)
            if len(found) == most:
                break
    return found


def _reach(room: Room) -> float:
    left, low, right, high = room.polygon.bounds
    return float(((right - left) ** 2 + (high - low) ** 2) ** 0.5)


def _farthest(room: Room, at: Point) -> float:
    return max(float(at.distance(Point(corner))) for corner in room.polygon.exterior.coords)


def _near(place: Place, level: int, room: Room, at: Point) -> bool:
    """Whether a wall or a thing of the room is near enough to show what depends on distance."""
    if room.polygon.exterior.distance(at) <= NEAR_M:
        return True
    things = place.plan.levels[level].things
    return any(Polygon(thing.outline).distance(at) <= NEAR_M for thing in things if thing.space == room.space.id)


__all__ = ["viewpoints"]
