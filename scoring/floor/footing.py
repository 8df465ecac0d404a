"""Where a tripod finds floor: the standing floor of one height, and the names of what bounds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.bands import Band, open_floors, walls, welded
from scoring.floor.findings import Spot
from scoring.floor.overlay import join, less, quiet
from scoring.floor.place import Place
from scoring.floor.plan import DOOR_LINE_USES
from scoring.floor.shapes import Room, the

TOUCH_M = 1e-5
"""A boundary nearer than this to a thing's outline is that thing's."""


@dataclass(frozen=True, slots=True)
class Named:
    """Outlines of a level with the words for each, to say what is near."""

    outlines: NDArray[Any]
    words: tuple[str, ...]


@quiet
def standing_floor(place: Place, level: int, floor: float) -> Band:
    """The floor at one height that feet can stand on, doorways included; kept by the place.

    Steps up and down bound it as walls do; so do things that stand on it or hang lower than a shin.
    """

    def make() -> Band:
        storey = place.storeys[level]
        rooms = zip(storey.rooms, open_floors(place, level), strict=True)
        parts = [outline for room, outline in rooms if room.floor == floor]
        parts += [h.polygon for h in storey.holes if h.walkable and h.floor == floor and h.sill == floor]
        region = welded(parts)
        gone = [s.polygon for s in storey.solids if not s.hangs]
        if gone:
            region = less(region, join(gone))
        return Band(region, walls(region))

    return place.keep(("standing", level, floor), make)


def named(place: Place, level: int) -> Named:
    """What bounds the standing floors of a level, by name; kept by the place."""

    def make() -> Named:
        storey = place.storeys[level]
        rows = [(s.polygon, s.words) for s in storey.solids]
        rows += [
            (r.polygon, the(r.flight.name)) for r in place.runs if level in (r.flight.foot.level, r.flight.head.level)
        ]
        outlines = np.array([shapely.boundary(polygon) for polygon, _ in rows], dtype=object)
        return Named(outlines, tuple(words for _, words in rows))

    return place.keep(("named", level), make)


def what_at(place: Place, level: int, room: Room, at: Spot) -> str:
    """Words for what bounds the floor or the band at a point of their boundary."""
    known = named(place, level)
    if len(known.words):
        gaps = shapely.distance(known.outlines, shapely.Point(at))
        if gaps.min() < TOUCH_M:
            return known.words[int(gaps.argmin())]
    for other in place.storeys[level].rooms:
        if other.floor != room.floor and other.polygon.distance(shapely.Point(at)) < TOUCH_M:
            return f"the step to {the(other.space.name)}"
    return f"{_bound(room)} of {the(room.space.name)}"


def _bound(room: Room) -> str:
    return "the edge" if room.space.outdoor else "a wall"


@quiet
def free_circle(place: Place, level: int, space_id: str) -> tuple[float, Spot]:
    """The largest circle free of walls and of things on the floor in a space: radius [m] and centre.

    Doorways do not count as free: the circle lies inside the room. To a millimetre.
    """
    for room in place.storeys[level].rooms:
        if room.space.id == space_id:
            break
    else:
        raise KeyError(space_id)

    def make() -> tuple[float, Spot]:
        region = standing_floor(place, level, room.floor).region.intersection(room.polygon)
        best = (0.0, (room.polygon.representative_point().x, room.polygon.representative_point().y))
        for part in shapely.get_parts(region):
            if part.geom_type != "Polygon" or part.area <= 0.0:
                continue
            line = shapely.maximum_inscribed_circle(part, tolerance=1e-3)
            if line.length > best[0]:
                best = (float(line.length), (float(line.coords[0][0]), float(line.coords[0][1])))
        return best

    return place.keep(("circle", level, space_id), make)


def from_door_line(place: Place, level: int, space_id: str) -> bool:
    """Whether a room is too tiny to stand in, so that it is taken from its door line. KeyError for no such room."""
    use = place.plan.space(level, space_id).use
    return use in DOOR_LINE_USES and free_circle(place, level, space_id)[0] < place.standard.threshold_circle_m


__all__ = ["Named", "free_circle", "from_door_line", "named", "standing_floor", "what_at"]
