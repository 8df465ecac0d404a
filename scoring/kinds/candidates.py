"""Candidate stands for *stand*: numbered spots, some allowed, each of the others refused for one clear reason.

A spot is a candidate only when its verdict is firm (the same within the placement error all round) and at most
one reason stands against it, so that no case hangs on a hair.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from random import Random

import shapely

from scoring.drill import Unfit
from scoring.floor.findings import Stand
from scoring.floor.place import Place
from scoring.floor.plan import FlightEnd, Station
from scoring.floor.stands import stand
from scoring.kinds.case import snapped

ALLOWED_LEAST = 2
REFUSED_LEAST = 2
SAME_REASON_MOST = 2
"""No reason stands against more candidates of one case than this."""
APART_M = 0.7
"""Numbers on the sheet must not cover each other."""
THROWS = 40
"""Spots tried in each room."""

Candidate = tuple[Station, Stand]


def candidates(place: Place, spaces: Sequence[str], count: int, rng: Random) -> list[Candidate]:
    """So many candidates in and round the named spaces (all of them when none is named), in no telling order.

    Raises Unfit when too few clear ones are found.
    """
    allowed: list[Candidate] = []
    refused: dict[str, list[Candidate]] = {}
    for station in _spots(place, spaces, rng):
        found = stand(place, station)
        if not found.firm or len({reason.fault for reason in found.reasons}) > 1:
            continue
        if found.allowed:
            allowed.append((station, found))
        elif found.reasons[0].fault != "outside":
            refused.setdefault(found.reasons[0].fault, []).append((station, found))
    want = rng.randint(max(ALLOWED_LEAST, count // 2), max(ALLOWED_LEAST, (count + 1) // 2))
    chosen = _varied(refused, count - want, rng)
    chosen += _apart(allowed, [one for one, _ in chosen], count - len(chosen), rng)
    good = sum(found.allowed for _, found in chosen)
    if good < ALLOWED_LEAST or len(chosen) - good < REFUSED_LEAST:
        raise Unfit(f"only {good} clear allowed and {len(chosen) - good} clear refused stands")
    rng.shuffle(chosen)
    return chosen


def _varied(refused: dict[str, list[Candidate]], count: int, rng: Random) -> list[Candidate]:
    """Refused stands, each reason in turn, so that one reason does not fill the sheet."""
    chosen: list[Candidate] = []
    left = {fault: rng.sample(found, len(found)) for fault, found in sorted(refused.items())}
    faults = rng.sample(sorted(refused), len(refused))
    for _ in range(SAME_REASON_MOST):
        for fault in faults:
            while left[fault] and len(chosen) < count:
                one = left[fault].pop()
                if _clear(one[0], [other for other, _ in chosen]):
                    chosen.append(one)
                    break
    return chosen


def _apart(found: list[Candidate], taken: list[Station], count: int, rng: Random) -> list[Candidate]:
    chosen: list[Candidate] = []
    for one in rng.sample(found, len(found)):
        if len(chosen) < count and _clear(one[0], [*taken, *(other for other, _ in chosen)]):
            chosen.append(one)
    return chosen


def _clear(station: Station, taken: Sequence[Station]) -> bool:
    return all(
        other.level != station.level or math.hypot(other.x - station.x, other.y - station.y) >= APART_M
        for other in taken
    )


def _spots(place: Place, spaces: Sequence[str], rng: Random) -> Iterator[Station]:
    """Spots worth asking about: anywhere in the rooms, in their doorways, on and by their flights, under what hangs."""
    for number, storey in enumerate(place.storeys):
        yield from _by_edges(place, number, rng)
        rooms = [room for room in storey.rooms if not spaces or room.space.id in spaces]
        ids = {room.space.id for room in rooms}
        for room in rooms:
            left, low, right, high = room.polygon.bounds
            for _ in range(THROWS):
                x, y = rng.uniform(left, right), rng.uniform(low, high)
                if shapely.contains_xy(room.polygon, x, y):
                    yield _spot(number, x, y)
        for hole in storey.holes:
            if hole.walkable and ids & set(hole.opening.between):
                yield _spot(number, *hole.middle)
        for solid in storey.solids:
            centre = solid.polygon.centroid
            if solid.hangs and any(room.polygon.covers(centre) for room in rooms):
                yield _spot(number, centre.x, centre.y)
        for run in place.runs:
            ends = [end for end in (run.flight.foot, run.flight.head) if end.level == number and end.space in ids]
            if ends:
                middle = run.polygon.centroid
                yield _spot(run.flight.foot.level, middle.x, middle.y)
            for end in ends:
                yield from _by_end(number, end, rng)


def _by_edges(place: Place, level: int, rng: Random) -> Iterator[Station]:
    """Spots within a few steps of open edges and of pools."""
    storey = place.storeys[level]
    lines = [shapely.LineString(edge.line) for edge in storey.level.edges if not edge.guarded]
    lines += [room.polygon.exterior for room in storey.rooms if room.space.use == "pool"]
    for edge in lines:
        for _ in range(8):
            at = edge.interpolate(rng.random(), normalized=True)
            turn, off = rng.uniform(0.0, 2.0 * math.pi), rng.uniform(0.6, 1.6)
            yield _spot(level, at.x + off * math.cos(turn), at.y + off * math.sin(turn))


def _by_end(level: int, end: FlightEnd, rng: Random) -> Iterator[Station]:
    """Spots a little way off the edge that one steps over, on either side of it."""
    (ax, ay), (bx, by) = end.edge
    size = math.hypot(bx - ax, by - ay)
    for _ in range(6):
        off, along = rng.uniform(0.2, 0.5) * rng.choice((-1.0, 1.0)), rng.uniform(0.35, 0.65)
        yield _spot(
            level, ax + along * (bx - ax) - off * (by - ay) / size, ay + along * (by - ay) + off * (bx - ax) / size
        )


def _spot(level: int, x: float, y: float) -> Station:
    return snapped(Station(level=level, x=x, y=y))


__all__ = ["Candidate", "candidates"]
