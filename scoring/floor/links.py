"""Links: which stations see each other along a clear strip of the standard's width, short enough to step along.

A link that fails by less than the placement error could still be made by the same hand. It gets the benefit
when both ends, moved up to that error across the line, leave a strip wide enough within the length allowed. It
is *firm* when no such move could change the verdict: moving both ends by e narrows the strip by 2 e at most and
stretches the line by 2 e at most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from scoring.floor.bands import band
from scoring.floor.findings import Link, LinkFault, Spot
from scoring.floor.flights import apart_m, run_between, slope_walls
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.shapes import Room
from scoring.floor.sight import Array, inside
from scoring.floor.strips import strip, widest

SAME_HEIGHT_M = 1e-6
"""Lenses whose heights differ by less look at each other on the level."""

OFFER_SHARE = 1.5
"""Pairs farther apart than this many times the longest link are not worth a line on the plan."""


def link(place: Place, a: Station, b: Station, *, names: tuple[int, int] = (0, 1)) -> Link:
    """The sight from one station to another; ``names`` are their indices in the finding."""
    return link_in(place, a, b, (place.room(a), place.room(b)), names)


@quiet
def link_in(
    place: Place, a: Station, b: Station, rooms: tuple[Room | None, Room | None], names: tuple[int, int] = (0, 1)
) -> Link:
    """The same where the spaces that the two stand in are known."""
    az, bz = place.lens_over(rooms[0], a), place.lens_over(rooms[1], b)
    if az is None or bz is None:
        length = math.hypot(a.x - b.x, a.y - b.y)
        return _blocked(names, length, (a.x, a.y) if az is None else (b.x, b.y), None)
    if a.level == b.level and abs(az - bz) < SAME_HEIGHT_M:
        length = math.hypot(a.x - b.x, a.y - b.y)
        edges = band(place, a.level, az, walk=True).edges
        return _judge(place, a, b, names, edges, length, _limit_m(place, *rooms), None)
    over = run_between(place, a, b)
    length = apart_m(a, az, b, bz)
    if (a.level != b.level and over is None) or (a.x, a.y) == (b.x, b.y):
        return _blocked(names, length, ((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), None)
    edges = slope_walls(place, a, az, b, bz)
    return _judge(place, a, b, names, edges, length, _limit_m(place, *rooms), over.flight.id if over else None)


def link_limit_m(place: Place, a: Station, b: Station) -> float:
    """Longest link between two stations [m]: the outdoor limit as soon as one of them stands outdoors."""
    return _limit_m(place, place.room(a), place.room(b))


def _limit_m(place: Place, *rooms: Room | None) -> float:
    outdoor = any(room is not None and room.space.outdoor for room in rooms)
    return place.standard.link_max_outdoor_m if outdoor else place.standard.link_max_m


@quiet
def links(place: Place, stations: Sequence[Station]) -> tuple[Link, ...]:
    """All pairs that lie on one level or have a flight between them, near enough to be worth naming; a < b."""
    far = OFFER_SHARE * max(place.standard.link_max_m, place.standard.link_max_outdoor_m)
    rooms = [place.room(one) for one in stations]
    found = []
    for i, a in enumerate(stations):
        for j in range(i + 1, len(stations)):
            b = stations[j]
            if math.hypot(a.x - b.x, a.y - b.y) > far:
                continue
            if a.level != b.level and run_between(place, a, b) is None:
                continue
            found.append(link_in(place, a, b, (rooms[i], rooms[j]), (i, j)))
    return tuple(found)


def _blocked(names: tuple[int, int], length: float, at: Spot, over: str | None) -> Link:
    return Link(names[0], names[1], length, 0.0, "blocked", at, over, firm=True)


def _judge(
    place: Place,
    a: Station,
    b: Station,
    names: tuple[int, int],
    edges: Array,
    length: float,
    limit: float,
    over: str | None,
) -> Link:
    standard = place.standard
    error, need = standard.placement_error_m, standard.link_strip_m
    for end in (a, b):
        if not inside(edges, end.x, end.y):
            return _blocked(names, length, (end.x, end.y), over)
    clear, x, y = strip(edges, a.x, a.y, b.x, b.y)
    fault: LinkFault | None = None
    at: Spot | None = None
    if clear <= 0.0:
        fault, at = "blocked", (x, y)
    elif clear < need:
        fault, at = "narrow", (x, y)
    elif length > limit:
        fault, at = "long", ((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    if fault is None:
        firm = clear >= need + 2.0 * error and length <= limit - 2.0 * error
        return Link(names[0], names[1], length, clear, None, None, over, firm)
    near = length <= limit + 2.0 * error
    benefit = near and (clear >= need or widest(edges, a.x, a.y, b.x, b.y, error, need) >= need)
    return Link(names[0], names[1], length, clear, fault, at, over, firm=not benefit, benefit=benefit)


__all__ = ["SAME_HEIGHT_M", "link", "link_in", "link_limit_m", "links"]
