"""Links: which stations see each other along a clear strip of the standard's width, short enough to step along.

A link that fails by less than the placement error could still be made by the same hand. It gets the benefit
when both ends, moved up to that error across the line, leave a strip wide enough within the length allowed. It
is *firm* when no such move could change the verdict: moving both ends by e narrows the strip by 2 e at most and
stretches the line by 2 e at most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from scoring.floor.bands import band
from scoring.floor.findings import Link, LinkFault, Spot
from scoring.floor.flights import apart_m, run_between, slope_walls
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sight import Array, inside
from scoring.floor.strips import strip, table, widest

SAME_HEIGHT_M = 1e-6
"""Lenses whose heights differ by less look at each other on the level."""

OFFER_SHARE = 1.5
"""Pairs farther apart than this many times the longest link are not worth a line on the plan."""


def link(place: Place, a: Station, b: Station, *, names: tuple[int, int] = (0, 1)) -> Link:
    """The sight from one station to another; ``names`` are their indices in the finding."""
    az, bz = place.lens_z(a), place.lens_z(b)
    if az is None or bz is None:
        length = math.hypot(a.x - b.x, a.y - b.y)
        return _blocked(names, length, (a.x, a.y) if az is None else (b.x, b.y), None)
    if a.level == b.level and abs(az - bz) < SAME_HEIGHT_M:
        length = math.hypot(a.x - b.x, a.y - b.y)
        return _judge(place, a, b, names, band(place, a.level, az, walk=True).edges, length, None)
    over = run_between(place, a, b)
    length = apart_m(a, az, b, bz)
    if (a.level != b.level and over is None) or (a.x, a.y) == (b.x, b.y):
        return _blocked(names, length, ((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), None)
    edges = slope_walls(place, a, az, b, bz)
    return _judge(place, a, b, names, edges, length, over.flight.id if over else None)


def link_limit_m(place: Place, a: Station, b: Station) -> float:
    """Longest link between two stations [m]: the outdoor limit as soon as one of them stands outdoors."""
    rooms = place.room(a), place.room(b)
    outdoor = any(room is not None and room.space.outdoor for room in rooms)
    return place.standard.link_max_outdoor_m if outdoor else place.standard.link_max_m


def links(place: Place, stations: Sequence[Station]) -> tuple[Link, ...]:
    """All pairs that lie on one level or have a flight between them, near enough to be worth naming; a < b."""
    far = OFFER_SHARE * max(place.standard.link_max_m, place.standard.link_max_outdoor_m)
    found = []
    for i, a in enumerate(stations):
        for j in range(i + 1, len(stations)):
            b = stations[j]
            if math.hypot(a.x - b.x, a.y - b.y) > far:
                continue
            if a.level != b.level and run_between(place, a, b) is None:
                continue
            found.append(link(place, a, b, names=(i, j)))
    return tuple(found)


def link_table(place: Place, stations: Sequence[Station], *, firm: bool = False) -> Array:
    """Which stations are linked, fast: a symmetric 0/1 table (n, n), by the same rules as ``link``.

    Without the benefit of the placement error; with ``firm`` only the links that hold with that error to spare.
    """
    n = len(stations)
    spare = 2.0 * place.standard.placement_error_m if firm else 0.0
    wide = place.standard.link_strip_m + spare
    held = np.zeros((n, n))
    heights = [place.lens_z(station) for station in stations]
    groups: dict[tuple[int, float], list[int]] = {}
    for i, (station, z) in enumerate(zip(stations, heights, strict=True)):
        if z is not None:
            groups.setdefault((station.level, round(z, 6)), []).append(i)
    outdoor = np.array([room is not None and room.space.outdoor for room in map(place.room, stations)], dtype=bool)
    limit = (
        np.where(outdoor[:, None] | outdoor[None, :], place.standard.link_max_outdoor_m, place.standard.link_max_m)
        - spare
    )
    at = np.array([(station.x, station.y) for station in stations], dtype=float).reshape(n, 2)
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    for (level, _), members in groups.items():
        z = heights[members[0]]
        assert z is not None
        edges = band(place, level, z, walk=True).edges
        clear = table(edges, at[members], float(limit.max()))
        grid = np.ix_(members, members)
        held[grid] = (clear >= wide) & (apart[grid] <= limit[grid])
    group = np.full(n, -1)
    for k, members in enumerate(groups.values()):
        group[members] = k
    slant = np.triu((apart <= limit) & (group[:, None] != group[None, :]) & (np.minimum.outer(group, group) >= 0))
    pairs = np.argwhere(slant)
    lines = shapely.linestrings(at[pairs])
    on = np.array([station.level for station in stations])
    worth = on[pairs[:, 0]] == on[pairs[:, 1]]
    for run in place.runs:
        worth |= shapely.intersects(run.polygon, lines)
    for i, j in pairs[worth]:
        a, b = stations[i], stations[j]
        if a.level == b.level or run_between(place, a, b) is not None:
            found = link(place, a, b)
            held[i, j] = held[j, i] = found.fault is None and (found.firm or not firm)
    np.fill_diagonal(held, 0.0)
    return held


def _blocked(names: tuple[int, int], length: float, at: Spot, over: str | None) -> Link:
    return Link(names[0], names[1], length, 0.0, "blocked", at, over, firm=True)


def _judge(
    place: Place, a: Station, b: Station, names: tuple[int, int], edges: Array, length: float, over: str | None
) -> Link:
    standard = place.standard
    error, need, limit = standard.placement_error_m, standard.link_strip_m, link_limit_m(place, a, b)
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


__all__ = ["link", "link_limit_m", "link_table", "links"]
