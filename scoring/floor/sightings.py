"""Which of many stands may see each other: exact on one height, an upper estimate between heights.

A link between two heights costs a sloping plane to work out, and what the placement error may be worth there costs
many. Of such pairs hardly any matter, so here only what a pair cannot do without is asked of it; ``link`` settles
the pairs that a solution stands on (see ``fewest``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numba import njit

from scoring.floor.bands import band, walls
from scoring.floor.demand import Bools, Floats, Ints
from scoring.floor.link_table import link_table
from scoring.floor.links import link_in
from scoring.floor.overlay import GRID_M
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sight import Array, inside
from scoring.floor.strips import strip

LOOKS = 15
"""Points looked at along a line between two heights."""

WIDE_M = 100.0
"""Clear width where nothing is known against it."""


@dataclass(frozen=True, slots=True)
class Sightings:
    """Link tables of a list of stands, (n, n) symmetric.

    ``firm``: holds with the placement error to spare; ``plain``: holds as drawn; ``forgiving``: holds with the
    benefit of that error. Where ``guessed``, ``forgiving`` is an upper estimate.
    """

    firm: Bools
    plain: Bools
    forgiving: Bools
    guessed: Bools


def sightings(place: Place, stands: Sequence[Station], *, settle: bool = True) -> Sightings:
    """The link tables of a list of stands on a place.

    Without ``settle`` no pair between two heights is worked out, and all tables are upper estimates for them.
    """
    n = len(stands)
    spare = 2.0 * place.standard.placement_error_m
    need = place.standard.link_strip_m
    rooms = [place.room(s) for s in stands]
    z = np.array([np.nan if room is None else room.floor + place.kit.lens_height_m for room in rooms])
    level = np.array([s.level for s in stands], dtype=np.int64)
    at = np.array([(s.x, s.y) for s in stands], dtype=np.float64).reshape(n, 2)
    outdoor = np.array([room is not None and room.space.outdoor for room in rooms], dtype=bool)
    longest = np.where(outdoor[:, None] | outdoor[None, :], place.standard.link_max_outdoor_m,
                       place.standard.link_max_m)  # fmt: skip
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    rise = z[:, None] - z[None, :]
    apart = np.hypot(apart, np.nan_to_num(rise, nan=1e9))
    reach = float(longest.max()) + spare
    clear = np.zeros((n, n))
    guessed = np.zeros((n, n), dtype=bool)
    for here in range(len(place.storeys)):
        on = np.flatnonzero((level == here) & np.isfinite(z))
        for height in np.unique(np.round(z[on], 6)):
            same = on[np.abs(z[on] - height) < 1e-6]
            edges = band(place, here, float(z[same[0]]), walk=True).edges
            clear[np.ix_(same, same)] = _widths(edges, np.ascontiguousarray(at[same]), reach)
        if np.unique(np.round(z[on], 6)).size > 1:
            _within_level(place, here, on, z, at, reach, clear, guessed)
    _between_levels(place, level, z, at, apart <= longest + spare, clear, guessed)
    off = ~np.eye(n, dtype=bool)
    firm = (clear >= need + spare) & (apart <= longest - spare) & off
    plain = (clear >= need) & (apart <= longest) & off
    forgiving = plain.copy()
    if settle:
        plain = link_table(place, stands) > 0.0
        firm = link_table(place, stands, firm=True) > 0.0
        guessed &= ~plain
        forgiving |= plain
    doubt = ~forgiving & (clear >= need - spare - 1e-9) & (clear > 0.0) & (apart <= longest + spare) & off
    forgiving |= doubt & guessed
    for i, j in np.argwhere(np.triu(doubt & ~guessed)):
        forgiving[i, j] = forgiving[j, i] = link_in(place, stands[i], stands[j], (rooms[i], rooms[j])).holds
    return Sightings(firm, plain, forgiving, guessed)


@njit(nogil=True, cache=True)
def _widths(edges: Array, at: Array, reach: float) -> Array:
    """Clear width between every two points no farther apart than the reach, (n, n) [m]; 0 without one."""
    n = at.shape[0]
    clear = np.zeros((n, n))
    within = np.empty(n, np.bool_)
    for i in range(n):
        within[i] = inside(edges, at[i, 0], at[i, 1])
    for i in range(n):
        if not within[i]:
            continue
        for j in range(i + 1, n):
            if within[j] and math.hypot(at[i, 0] - at[j, 0], at[i, 1] - at[j, 1]) <= reach:
                width, _, _ = strip(edges, at[i, 0], at[i, 1], at[j, 0], at[j, 1])
                clear[i, j] = width
                clear[j, i] = width
    return clear


def _within_level(
    place: Place, here: int, on: Ints, z: Floats, at: Floats, reach: float, clear: Floats, guessed: Bools
) -> None:
    """Pairs of one level whose floors differ: at most the strip that the plan's walls leave at any height."""
    storey = place.storeys[here]
    air = [room.polygon for room in storey.rooms] + [hole.polygon for hole in storey.holes if hole.walkable]
    air += [run.polygon for run in place.runs if here in (run.flight.foot.level, run.flight.head.level)]
    edges = walls(shapely.union_all(air, grid_size=GRID_M))
    wide = _widths(edges, np.ascontiguousarray(at[on]), reach)
    a, b = np.nonzero(np.triu((np.abs(z[on][:, None] - z[on][None, :]) >= 1e-6) & (wide > 0.0)))
    kept = _through_air(place, (here,), on[a], on[b], z, at)
    a, b = a[kept], b[kept]
    i, j = on[a], on[b]
    clear[i, j] = clear[j, i] = wide[a, b]
    guessed[i, j] = guessed[j, i] = True


def _between_levels(
    place: Place, level: Ints, z: Floats, at: Floats, near: Bools, clear: Floats, guessed: Bools
) -> None:
    """Pairs of two levels: the line has to run over a flight between them."""
    for run in place.runs:
        ends = sorted({run.flight.foot.level, run.flight.head.level})
        if len(ends) != 2:
            continue
        low = np.flatnonzero((level == ends[0]) & np.isfinite(z))
        high = np.flatnonzero((level == ends[1]) & np.isfinite(z))
        i, j = (g.ravel() for g in np.meshgrid(low, high, indexing="ij"))
        kept = near[i, j]
        i, j = i[kept], j[kept]
        well = run.polygon.buffer(place.standard.placement_error_m)
        shapely.prepare(well)
        kept = shapely.intersects(well, shapely.linestrings(np.stack([at[i], at[j]], axis=1)))
        i, j = i[kept], j[kept]
        kept = _through_air(place, (ends[0], ends[1]), i, j, z, at)
        i, j = i[kept], j[kept]
        clear[i, j] = clear[j, i] = WIDE_M
        guessed[i, j] = guessed[j, i] = True


def _through_air(place: Place, levels: tuple[int, ...], i: Ints, j: Ints, z: Floats, at: Floats) -> Bools:
    """Whether no point looked at along each line from i to j lies in a slab, a wall, a lintel or the treads,
    with the placement error to spare; (pairs,)."""
    error = place.standard.placement_error_m
    found = np.ones(i.size, dtype=bool)
    blocks: list[tuple[shapely.Geometry, list[tuple[float, float, float]], list[tuple[float, float, float]]]] = []
    for here in levels:
        storey = place.storeys[here]
        blocks += [(r.polygon, [(r.floor, 0.0, 0.0)], list(r.ceilings)) for r in storey.rooms]
        blocks += [(h.polygon, [(h.sill, 0.0, 0.0)], [(h.head, 0.0, 0.0)]) for h in storey.holes if h.walkable]
    for run in place.runs:
        if {run.flight.foot.level, run.flight.head.level} & set(levels):
            blocks.append((run.polygon, [run.treads], [(run.top, 0.0, 0.0)]))
    wider = [(polygon.buffer(error), floors, tops) for polygon, floors, tops in blocks]
    for polygon, _, _ in wider:
        shapely.prepare(polygon)
    for share in np.linspace(0.0, 1.0, LOOKS + 2)[1:-1]:
        left = np.flatnonzero(found)
        x, y = (at[i[left]] + share * (at[j[left]] - at[i[left]])).T
        height = z[i[left]] + share * (z[j[left]] - z[i[left]])
        air = np.zeros(left.size, dtype=bool)
        for polygon, floors, tops in wider:
            inside = shapely.contains_xy(polygon, x, y)
            for k, gx, gy in floors:
                inside &= height >= k + gx * x + gy * y - error * (abs(gx) + abs(gy)) - 1e-6
            for k, gx, gy in tops:
                inside &= height <= k + gx * x + gy * y + error * (abs(gx) + abs(gy)) + 1e-6
            air |= inside
        found[left] = air
    return found


__all__ = ["Sightings", "sightings"]
