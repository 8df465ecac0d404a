"""Which of many stations are linked, fast: what the search for the fewest asks.

Stations of one height are settled by their band. Between two heights most pairs are settled by two regions that
serve them all: where the air is shut at every height between the lenses there is no link; where it is open at
every height there is one. Only what is left needs its own sloping plane (see ``flights``).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.bands import band, between
from scoring.floor.links import SAME_HEIGHT_M, link
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sight import Array
from scoring.floor.strips import table

Group = tuple[int, float]
"""Stations of one level and one lens height."""


@quiet
def link_table(place: Place, stations: Sequence[Station], *, firm: bool = False) -> Array:
    """Which stations are linked: a symmetric 0/1 table (n, n), by the same rules as ``link``.

    Without the benefit of the placement error; with ``firm`` only the links that hold with that error to spare.
    """
    n = len(stations)
    spare = 2.0 * place.standard.placement_error_m if firm else 0.0
    wide = place.standard.link_strip_m + spare
    held = np.zeros((n, n))
    groups: dict[Group, list[int]] = {}
    for i, station in enumerate(stations):
        z = place.lens_z(station)
        if z is not None:
            groups.setdefault((station.level, round(z, 6)), []).append(i)
    at = np.array([(station.x, station.y) for station in stations], dtype=float).reshape(n, 2)
    limit = _limits(place, stations) - spare
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    keys = sorted(groups)
    for k, key in enumerate(keys):
        members = np.array(groups[key])
        edges = band(place, *key, walk=True).edges
        grid = np.ix_(members, members)
        held[grid] = (table(edges, at[members], at[members], float(limit.max())) >= wide) & (apart[grid] <= limit[grid])
        for other in keys[k + 1 :]:
            if key[0] == other[0] and other[1] - key[1] < SAME_HEIGHT_M:
                continue
            others = np.array(groups[other])
            grid = np.ix_(members, others)
            length = np.hypot(apart[grid], other[1] - key[1])
            pairs = _between(place, key, at[members], other, at[others], length <= limit[grid], wide)
            for i, j in np.argwhere(pairs == UNSETTLED):
                found = link(place, stations[members[i]], stations[others[j]])
                pairs[i, j] = found.fault is None and (found.firm or not firm)
            held[grid] = pairs
            held[grid[1].T, grid[0].T] = pairs.T
    np.fill_diagonal(held, 0.0)
    return held


UNSETTLED = -1.0


def _between(
    place: Place, low: Group, at: Array, high: Group, to: Array, near: NDArray[np.bool_], wide: float
) -> Array:
    """Pairs of stations of two groups: 1 linked, 0 not, UNSETTLED where only their own plane can tell."""
    levels = tuple(sorted({low[0], high[0]}))
    # the plane runs on past both ends by half a strip, by less than this in height where the line is no steeper than 1
    bottom, top = min(low[1], high[1]) - wide / 2.0, max(low[1], high[1]) + wide / 2.0
    reach = float(place.standard.link_max_outdoor_m) + float(place.standard.link_max_m)
    some = table(between(place, levels, bottom, top, everywhere=False).edges, at, to, reach) >= wide
    pairs = np.where(near & some, UNSETTLED, 0.0)
    if len(levels) == 1:
        gentle = np.hypot(*(at[:, None, :] - to[None, :, :]).transpose(2, 0, 1)) >= top - bottom
        every = table(between(place, levels, bottom, top, everywhere=True).edges, at, to, reach) >= wide
        pairs[(pairs == UNSETTLED) & gentle & every] = 1.0
        return pairs
    rows, columns = np.nonzero(pairs == UNSETTLED)
    lines = shapely.linestrings(np.stack([at[rows], to[columns]], axis=1))
    over = np.zeros(len(rows), dtype=bool)
    for run in place.runs:
        if {run.flight.foot.level, run.flight.head.level} == set(levels):
            over |= shapely.intersects(run.polygon, lines)
    pairs[rows[~over], columns[~over]] = 0.0
    return pairs


def _limits(place: Place, stations: Sequence[Station]) -> Array:
    """Longest link between each two of the stations (n, n) [m]."""
    rooms = [place.room(station) for station in stations]
    outdoor = np.array([room is not None and room.space.outdoor for room in rooms], dtype=bool)
    some = outdoor[:, None] | outdoor[None, :]
    return np.where(some, place.standard.link_max_outdoor_m, place.standard.link_max_m)


__all__ = ["link_table"]
