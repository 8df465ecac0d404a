"""The named list of stands: the spots that a reference is proven over, a pure function of place and spacing.

A grid over the floor on which the legs fit, and the spots that an operator would think of first: on door axes,
in the middle of rooms, at bends and corners, at the foot and the head of flights. Each is allowed by the
standard as it stands, without the benefit of the placement error, and none is inside a room that is too tiny to
stand in. Counts from different lists never compare.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.drill import content_hash
from scoring.floor.footing import free_circle, from_door_line, standing_floor
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import NO_STAND_USES, FlightEnd, Station
from scoring.floor.shapes import Room
from scoring.floor.stands import passes

TARGET = 440
"""How many stands a list aims for; at least 400 wherever the floor allows."""

FINEST_M = 0.06
COARSEST_M = 1.5
OUTDOOR_FACTOR = 2.0
"""The grid is that much wider under the open sky, where sight is not shut in."""

APART_M = 0.02
"""Two spots nearer than this are one."""

FINE_STEPS = 4
"""How often the grid is made finer when too many of its spots turn out not to be allowed."""


@quiet
def listed_stands(place: Place, spacing_m: float | None = None, *, target_stands: int = TARGET) -> tuple[Station, ...]:
    """The allowed stands of a place, in order of level, x, y; coordinates to a millimetre.

    With ``spacing_m`` the grid has that spacing [m]; without it, the spacing is chosen so that the list comes to
    about ``target_stands``.
    """

    def make() -> tuple[Station, ...]:
        named = _allowed(place, _thinned(list(_named_spots(place)), []))
        if spacing_m is not None:
            return _sorted([*named, *_allowed(place, _thinned(_grid(place, spacing_m), named))])
        spacing = COARSEST_M
        wanted = max(target_stands - len(named), target_stands // 3)
        found: list[Station] = []
        for _ in range(FINE_STEPS):
            spacing = _spacing(place, wanted, spacing)
            found = _allowed(place, _thinned(_grid(place, spacing), named))
            short = target_stands - len(named) - len(found)
            if short <= 0 or spacing <= FINEST_M:
                break
            wanted = math.ceil(wanted * max(1.03, (target_stands - len(named)) / max(len(found), 1)))
        return _sorted([*named, *found])

    return place.keep(("listed", spacing_m, target_stands), make)


def list_hash(stands: Sequence[Station]) -> str:
    """The address of a list: SHA-256 of its spots."""
    return content_hash([[s.level, s.x, s.y] for s in stands])


def _sorted(stands: list[Station]) -> tuple[Station, ...]:
    return tuple(sorted(stands, key=lambda s: (s.level, s.x, s.y)))


def _allowed(place: Place, spots: list[Station]) -> list[Station]:
    return [s for s in spots if passes(place, s) and not _in_tiny_room(place, s)]


def _in_tiny_room(place: Place, station: Station) -> bool:
    """Whether a spot is inside a room that is taken from its door line."""
    room = place.room(station)
    return room is not None and from_door_line(place, station.level, room.space.id)


def _thinned(spots: list[Station], taken: Sequence[Station]) -> list[Station]:
    """The spots without those that repeat an earlier one."""
    boxes = {_box(s) for s in taken}
    kept = []
    for s in spots:
        if _box(s) not in boxes:
            boxes.add(_box(s))
            kept.append(s)
    return kept


def _box(s: Station) -> tuple[int, int, int]:
    return (s.level, round(s.x / APART_M), round(s.y / APART_M))


def _spacing(place: Place, wanted: int, start_m: float) -> float:
    """The widest grid not over ``start_m`` that has about ``wanted`` spots, to 2 mm [m]."""
    low, high = FINEST_M, start_m
    while high - low > 0.002:
        middle = (low + high) / 2.0
        if sum(1 for _ in _grid(place, middle)) >= wanted:
            low = middle
        else:
            high = middle
    return round(low, 3)


def _grid(place: Place, spacing_m: float) -> list[Station]:
    """Spots of a grid on which the legs fit, room by room, each grid centred in its room."""
    spots = []
    for level, storey in enumerate(place.storeys):
        for room in storey.rooms:
            if room.space.use in NO_STAND_USES or from_door_line(place, level, room.space.id):
                continue
            free = _free(place, level, room)
            if free.is_empty:
                continue
            step = spacing_m * (OUTDOOR_FACTOR if room.space.outdoor else 1.0)
            x0, y0, x1, y1 = free.bounds
            xs, ys = _ticks(x0, x1, step), _ticks(y0, y1, step)
            gx, gy = (g.ravel() for g in np.meshgrid(xs, ys, indexing="ij"))
            inside = shapely.contains_xy(free, gx, gy)
            spots += [_spot(level, x, y) for x, y in zip(gx[inside], gy[inside], strict=True)]
    return spots


def _ticks(low: float, high: float, step: float) -> NDArray[np.float64]:
    count = math.floor((high - low) / step + 1e-9)
    steps = np.arange(count + 1, dtype=np.float64) - count / 2.0
    ticks: NDArray[np.float64] = (low + high) / 2.0 + step * steps
    return ticks


def _free(place: Place, level: int, room: Room) -> shapely.Geometry:
    """The part of a room where the leg circle fits; kept by the place."""

    def make() -> shapely.Geometry:
        floor = standing_floor(place, level, room.floor).region
        free = floor.buffer(-place.kit.leg_radius_m - 1e-4, quad_segs=16).intersection(room.polygon)
        shapely.prepare(free)
        return free

    return place.keep(("free", level, room.space.id), make)


def _spot(level: int, x: float, y: float) -> Station:
    return Station(level=level, x=round(float(x), 3), y=round(float(y), 3))


def _named_spots(place: Place) -> Iterator[Station]:
    legs, standard = place.kit.leg_radius_m, place.standard
    for level, storey in enumerate(place.storeys):
        for hole in storey.holes:
            if not hole.walkable:
                continue
            half = hole.opening.depth_m / 2.0
            near = (standard.threshold_min_m, (standard.threshold_min_m + standard.threshold_max_m) / 2.0,
                    standard.threshold_max_m, legs + 0.05, legs + 0.25, 1.0)  # fmt: skip
            for side in (1.0, -1.0):
                for out in near:
                    d = side * (half + out)
                    yield _spot(level, hole.middle[0] + d * hole.normal[0], hole.middle[1] + d * hole.normal[1])
        for room in storey.rooms:
            if room.space.use not in NO_STAND_USES:
                yield from _room_spots(place, level, room)
    for run in place.runs:
        for end, other in ((run.flight.foot, run.flight.head), (run.flight.head, run.flight.foot)):
            yield from _end_spots(place, end, other)


def _room_spots(place: Place, level: int, room: Room) -> Iterator[Station]:
    """The middle of a room and of its largest free circle, and spots off each inner corner (a bend)."""
    legs = place.kit.leg_radius_m
    yield _spot(level, room.polygon.centroid.x, room.polygon.centroid.y)
    _, (x, y) = free_circle(place, level, room.space.id)
    yield _spot(level, x, y)
    ring = np.asarray(room.polygon.exterior.coords)[:-1]
    for i in range(len(ring)):
        into, out = ring[i] - ring[i - 1], ring[(i + 1) % len(ring)] - ring[i]
        if into[0] * out[1] - into[1] * out[0] >= -1e-9:
            continue
        # At an inner corner both walls point into the room: their bisector leads to the outside of the bend.
        way = into / np.linalg.norm(into) - out / np.linalg.norm(out)
        way = way / np.linalg.norm(way)
        for away in (legs + 0.1, legs + 0.35, legs + 0.7):
            yield _spot(level, ring[i][0] + away * way[0], ring[i][1] + away * way[1])


def _end_spots(place: Place, end: FlightEnd, other: FlightEnd) -> Iterator[Station]:
    """In front of the foot or head of a flight, clear of the way by what the standard asks and a little more."""
    (ax, ay), (bx, by) = end.edge
    mx, my = (ax + bx) / 2.0, (ay + by) / 2.0
    ox, oy = (other.edge[0][0] + other.edge[1][0]) / 2.0, (other.edge[0][1] + other.edge[1][1]) / 2.0
    size = math.hypot(mx - ox, my - oy)
    wide = math.hypot(bx - ax, by - ay)
    if size == 0.0 or wide == 0.0:
        return
    ux, uy = (mx - ox) / size, (my - oy) / size
    wx, wy = (bx - ax) / wide, (by - ay) / wide
    clear = place.kit.leg_radius_m + place.standard.flight_keep_off_m
    for ahead in (0.02, place.standard.placement_error_m + 0.02, 0.35, 0.7):
        for aside in (-0.4, -0.2, 0.0, 0.2, 0.4):
            d = clear + ahead
            yield _spot(end.level, mx + d * ux + aside * wide * wx, my + d * uy + aside * wide * wy)


__all__ = ["TARGET", "list_hash", "listed_stands"]
