"""The drawing as geometry: every space, opening, leaf, thing and flight of a plan as a polygon with heights.

All heights here are absolute (over the plan's zero), so that levels, split floors and landings compare.
A *slope plane* is (k, gx, gy): height k + gx x + gy y [m].
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from scoring.floor.plan import OUTSIDE, WALK_KINDS, Flight, Level, Opening, Plan, Space, Thing

Height = tuple[float, float, float]
"""A height over the drawing as a plane: k + gx x + gy y [m]."""

LAP_M = 1e-5
"""How far an opening reaches into the spaces it joins, so that they become one."""

FOOTPRINT_BASE_M = 0.3
"""A thing that hangs lower than this leaves no floor under it to stand on or to show."""


def level_height(z: float) -> Height:
    """The plane of one height."""
    return (z, 0.0, 0.0)


def height_at(plane: Height, x: float, y: float) -> float:
    """Height of a plane over (x, y) [m]."""
    return plane[0] + plane[1] * x + plane[2] * y


@dataclass(frozen=True, slots=True)
class Room:
    """A space with its floor and ceilings."""

    space: Space
    polygon: Polygon
    floor: float
    ceilings: tuple[Height, ...]
    """All of them: the ceiling is the lowest. Empty under the open sky."""

    def ceiling_at(self, x: float, y: float) -> float:
        """Height of the ceiling over (x, y) [m]; inf outdoors."""
        return min((height_at(plane, x, y) for plane in self.ceilings), default=math.inf)


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening as a block of air in the wall."""

    opening: Opening
    polygon: Polygon
    floor: float
    sill: float
    head: float
    middle: tuple[float, float]
    normal: tuple[float, float]
    """Unit vector across the wall, toward the first of the two spaces."""

    @property
    def walkable(self) -> bool:
        """Whether one can walk through it."""
        return self.opening.kind in WALK_KINDS


@dataclass(frozen=True, slots=True)
class Solid:
    """Something that hides what is behind it between its base and its top."""

    polygon: Polygon
    base: float
    top: float
    words: str
    id: str
    hangs: bool
    """Whether floor remains under it."""


@dataclass(frozen=True, slots=True)
class Run:
    """A flight: its treads as a plane through the nosings, and the free height over them."""

    flight: Flight
    polygon: Polygon
    treads: Height
    foot: float
    head: float
    top: float
    steps: tuple[Solid, ...]


@dataclass(frozen=True, slots=True)
class Storey:
    """One level's geometry."""

    level: Level
    rooms: tuple[Room, ...]
    holes: tuple[Hole, ...]
    solids: tuple[Solid, ...]
    """Things and door leaves."""


def the(name: str) -> str:
    """A name within a sentence: "Hall" -> "the hall", "Bedroom 2" -> "bedroom 2", "a chair" as it is."""
    first = name.split(" ", 1)[0]
    if first in ("the", "a", "an") or "’" in first or "'" in first:
        return name
    if first[1:].islower():
        name = name[0].lower() + name[1:]
    return name if name[-1:].isdigit() else f"the {name}"


def storeys(plan: Plan) -> tuple[Storey, ...]:
    """The geometry of all levels, in order."""
    return tuple(_storey(level) for level in plan.levels)


def polygon_of(ring: tuple[tuple[float, float], ...]) -> Polygon:
    """The polygon of a ring [m], counter-clockwise."""
    return orient(Polygon(ring))


def _storey(level: Level) -> Storey:
    rooms = tuple(_room(level, space) for space in level.spaces)
    by_id = {room.space.id: room for room in rooms}
    holes = tuple(_hole(level, opening, by_id) for opening in level.openings)
    things = tuple(_thing(thing, by_id) for thing in level.things)
    leaves = tuple(_leaf(hole, by_id) for hole in holes if hole.opening.leaf is not None)
    return Storey(level, rooms, holes, things + leaves)


def _room(level: Level, space: Space) -> Room:
    floor = level.elevation_m + space.floor_m
    ceilings: list[Height] = []
    if not space.outdoor:
        ceilings.append(level_height(floor + (space.ceiling_m or level.ceiling_m)))
    for slope in space.slopes:
        fall = math.tan(math.radians(slope.fall_deg))
        gx = -fall * math.cos(math.radians(slope.toward_deg))
        gy = -fall * math.sin(math.radians(slope.toward_deg))
        ceilings.append((floor + slope.height_m - gx * slope.at[0] - gy * slope.at[1], gx, gy))
    return Room(space, polygon_of(space.outline), floor, tuple(ceilings))


def _hole(level: Level, opening: Opening, rooms: dict[str, Room]) -> Hole:
    (ax, ay), (bx, by) = opening.jambs
    width = math.hypot(bx - ax, by - ay)
    nx, ny = -(by - ay) / width, (bx - ax) / width
    half = opening.depth_m / 2.0
    middle = ((ax + bx) / 2.0, (ay + by) / 2.0)
    floors = [rooms[name].floor for name in opening.between if name != OUTSIDE]
    first = opening.between[0] if opening.between[0] != OUTSIDE else opening.between[1]
    probe = half + 0.05
    ahead, behind = shapely.distance(
        rooms[first].polygon,
        shapely.points([(middle[0] + s * probe * nx, middle[1] + s * probe * ny) for s in (1.0, -1.0)]),
    )
    if (ahead > behind) == (first == opening.between[0]):
        nx, ny = -nx, -ny
    d = half + LAP_M
    quad = polygon_of(
        ((ax + d * nx, ay + d * ny), (bx + d * nx, by + d * ny), (bx - d * nx, by - d * ny), (ax - d * nx, ay - d * ny))
    )
    floor = min(floors) if floors else level.elevation_m
    return Hole(opening, quad, floor, floor + opening.sill_m, floor + opening.head_m, middle, (nx, ny))


def _thing(thing: Thing, rooms: dict[str, Room]) -> Solid:
    floor = rooms[thing.space].floor
    hangs = thing.base_m >= FOOTPRINT_BASE_M
    return Solid(
        polygon_of(thing.outline), floor + thing.base_m, floor + thing.height_m, the(thing.name), thing.id, hangs
    )


def _leaf(hole: Hole, rooms: dict[str, Room]) -> Solid:
    """The leaf turned about its pin, which sits on the wall's face on the side it opens to::

      ┌┐ leaf, 90 degrees open (its thickness takes a little of the clear way)
      ││
    ──┴┴────────┐ face toward ``into``
      ·         │
    """
    leaf = hole.opening.leaf
    assert leaf is not None
    jamb, other = hole.opening.jambs[leaf.hinge], hole.opening.jambs[1 - leaf.hinge]
    width = math.hypot(other[0] - jamb[0], other[1] - jamb[1])
    dx, dy = (other[0] - jamb[0]) / width, (other[1] - jamb[1]) / width
    side = 1.0 if leaf.into == hole.opening.between[0] else -1.0
    mx, my = side * hole.normal[0], side * hole.normal[1]
    c, s = math.cos(math.radians(leaf.open_deg)), math.sin(math.radians(leaf.open_deg))
    ux, uy = c * dx + s * mx, c * dy + s * my
    vx, vy = s * dx - c * mx, s * dy - c * my
    px, py = jamb[0] + mx * hole.opening.depth_m / 2.0, jamb[1] + my * hole.opening.depth_m / 2.0
    t = leaf.thickness_m
    quad = polygon_of(
        (
            (px, py),
            (px + width * ux, py + width * uy),
            (px + width * ux + t * vx, py + width * uy + t * vy),
            (px + t * vx, py + t * vy),
        )
    )
    into = rooms[leaf.into].space.name if leaf.into in rooms else ""
    words = f"the door leaf in {the(into)}" if into else "the door leaf"
    return Solid(quad, hole.floor, hole.head, words, hole.opening.id, False)


__all__ = [
    "FOOTPRINT_BASE_M", "LAP_M", "Height", "Hole", "Room", "Run", "Solid", "Storey", "height_at", "level_height",
    "polygon_of", "storeys", "the",
]  # fmt: skip
