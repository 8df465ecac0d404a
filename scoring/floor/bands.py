"""Height bands: the part of a level that sight at one height, or along one sloping plane, can cross.

A *band* is the union of the spaces and openings whose air the plane cuts, and of the air over flights, less the
things and leaves it cuts. A wall is where the band is not. The *walk* band leaves out windows and glass: a link
counts only through what one can walk through.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from scoring.floor.overlay import GRID_M, NOTHING, join, less, quiet
from scoring.floor.place import Place
from scoring.floor.shapes import Height, Hole, Room, Solid, level_height
from scoring.floor.sight import Array

WELD_M = 5e-6
"""Spaces that touch by design may be drawn this far apart (a file keeps six decimals): no wall, no crack."""

OVERLAP_SHARE = 1e-3
"""Spaces and doorways overlap by less than this share of their area."""

FAR_M = 4000.0


@dataclass(frozen=True, slots=True)
class Band:
    """A region with its boundary as walls, shape (n, 4)."""

    region: Any
    edges: Array


def walls(region: Any) -> Array:
    """The boundary of a polygon or of several as walls, shape (n, 4)."""
    rows = []
    for part in shapely.get_parts(region):
        if part.geom_type != "Polygon":
            continue
        for ring in (part.exterior, *part.interiors):
            at = shapely.get_coordinates(ring)
            rows.append(np.hstack([at[:-1], at[1:]]))
    return np.ascontiguousarray(np.vstack(rows)) if rows else np.empty((0, 4))


def band(place: Place, level: int, z: float, *, walk: bool) -> Band:
    """The band of one level at the absolute height z [m]; kept by the place."""
    z = round(z, 9)

    def make() -> Band:
        region = tilted(place, (level,), level_height(z), walk=walk)
        return Band(region, walls(region))

    return place.keep(("band", level, z, walk), make)


def tilted(place: Place, levels: Iterable[int], plane: Height, *, walk: bool, within: Any = None) -> Any:
    """The region of the given levels that a plane crosses through air, whole or clipped to a polygon."""
    return _air(place, tuple(levels), plane, plane, walk=walk, within=within)


def between(place: Place, levels: tuple[int, ...], low: float, high: float, *, everywhere: bool) -> Band:
    """Where walkable air is open somewhere, or else everywhere, between two heights [m]; kept by the place.

    Any line between those heights stays in the first region; in the second it meets nothing.
    """
    low, high = round(low, 9), round(high, 9)

    def make() -> Band:
        heights = (high, low) if everywhere else (low, high)
        region = _air(place, levels, level_height(heights[0]), level_height(heights[1]), walk=True, within=None)
        return Band(region, walls(region))

    return place.keep(("between", levels, low, high, everywhere), make)


@quiet
def _air(place: Place, levels: tuple[int, ...], low: Height, high: Height, *, walk: bool, within: Any) -> Any:
    """Where floors lie under ``high`` and ceilings over ``low``, less the solids from below ``low`` to above ``high``.

    With one plane for both that is what the plane crosses through air; with low under high, where some height
    between is free; with low over high, where all of them are.
    """
    air: list[Any] = []
    cut: list[Any] = []
    for run in place.runs:
        if run.flight.foot.level in levels or run.flight.head.level in levels:
            over = where_above(_clip(run.polygon, within), high, run.treads)
            air.append(where_above(over, level_height(run.top), low))
    for level in levels:
        storey = place.storeys[level]
        rooms = open_floors(place, level)
        for i in _met(place, ("rooms", level), storey.rooms, low, high, within):
            part: Any = where_above(_clip(rooms[i], within), high, level_height(storey.rooms[i].floor))
            for ceiling in storey.rooms[i].ceilings:
                part = where_above(part, ceiling, low)
            air.append(part)
        for i in _met(place, ("holes", level), storey.holes, low, high, within):
            hole = storey.holes[i]
            if hole.walkable or not walk:
                over = where_above(_clip(hole.polygon, within), high, level_height(hole.sill))
                air.append(where_above(over, level_height(hole.head), low))
        for i in _met(place, ("solids", level), storey.solids, high, low, within):
            solid = storey.solids[i]
            over = where_above(solid.polygon, low, level_height(solid.base))
            cut.append(where_above(over, level_height(solid.top), high))
    region = welded([part for part in air if not part.is_empty], apart=low == high)
    cut = [part for part in cut if not part.is_empty]
    for part in [join(cut)] if within is None else cut:
        region = less(region, part)
    return region


def open_floors(place: Place, level: int) -> list[Any]:
    """The outlines of a level's rooms, in order, less the flights that meet the level; kept by the place."""

    def make() -> list[Any]:
        wells = [r.polygon for r in place.runs if level in (r.flight.foot.level, r.flight.head.level)]
        rooms = [room.polygon for room in place.storeys[level].rooms]
        for well in wells:
            rooms = [r.difference(well) if r.intersection(well).area > WELD_M else r for r in rooms]
        return rooms

    return place.keep(("open floors", level), make)


@quiet
def welded(parts: Sequence[Any], *, apart: bool = True) -> Any:
    """The union of spaces, with hair cracks between touching ones closed and every true corner as it was.

    Parts that lie ``apart`` overlap by very little: areas that do not add up tell that the fast union went wrong.
    """
    if len(parts) < 2:
        return parts[0] if parts else NOTHING
    total = float(shapely.area(parts).sum())
    for grid in (None, GRID_M) if apart else (GRID_M,):
        whole: Any = shapely.union_all(list(parts), grid_size=grid)
        closed = shapely.buffer(whole, WELD_M, join_style="mitre", mitre_limit=20.0)
        closed = shapely.buffer(closed, -WELD_M, join_style="mitre", mitre_limit=20.0)
        if abs(closed.area - (total if apart else whole.area)) <= OVERLAP_SHARE * total:
            return closed
    return whole


def _met(
    place: Place,
    key: Hashable,
    shapes: Sequence[Room] | Sequence[Hole] | Sequence[Solid],
    low: Height,
    high: Height,
    within: Any,
) -> list[int]:
    """Indices of the shapes that reach over one plane and down under another, within a polygon if there is one."""
    if not shapes:
        return []

    def make() -> tuple[Array, Array]:
        return shapely.bounds([s.polygon for s in shapes]), np.array([_heights(s) for s in shapes])

    boxes, heights = place.keep(("boxes", key), make)
    x0, y0, x1, y1 = boxes.T
    hit = np.ones(len(shapes), dtype=bool)
    if within is not None:
        u0, v0, u1, v1 = within.bounds
        hit = (x0 <= u1) & (x1 >= u0) & (y0 <= v1) & (y1 >= v0)
        x0, y0, x1, y1 = np.maximum(x0, u0), np.maximum(y0, v0), np.minimum(x1, u1), np.minimum(y1, v1)
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    lowest = np.min([low[0] + low[1] * x + low[2] * y for x, y in corners], axis=0)
    highest = np.max([high[0] + high[1] * x + high[2] * y for x, y in corners], axis=0)
    hit &= (highest >= heights[:, 0]) & (lowest <= heights[:, 1])
    return [int(i) for i in np.flatnonzero(hit)]


def _heights(shape: Room | Hole | Solid) -> tuple[float, float]:
    """Between which heights a shape can matter [m]."""
    if isinstance(shape, Room):
        return shape.floor, math.inf
    if isinstance(shape, Hole):
        return shape.sill, shape.head
    return shape.base, shape.top


def _clip(polygon: Any, within: Any) -> Any:
    return polygon if within is None else polygon.intersection(within)


def where_above(region: Any, upper: Height, lower: Height) -> Any:
    """The part of a region over which one plane lies above, or on, another."""
    k, gx, gy = upper[0] - lower[0], upper[1] - lower[1], upper[2] - lower[2]
    steep = math.hypot(gx, gy)
    if region.is_empty:
        return region
    if steep < 1e-12:
        return region if k > 0.0 else NOTHING
    x0, y0, x1, y1 = region.bounds
    corners = [k + gx * x + gy * y for x in (x0, x1) for y in (y0, y1)]
    if min(corners) > 0.0:
        return region
    if max(corners) <= 0.0:
        return NOTHING
    ux, uy = gx / steep, gy / steep
    fx, fy = -k / steep * ux, -k / steep * uy
    wx, wy = -uy * FAR_M, ux * FAR_M
    half = Polygon(
        [
            (fx - wx, fy - wy),
            (fx - wx + FAR_M * ux, fy - wy + FAR_M * uy),
            (fx + wx + FAR_M * ux, fy + wy + FAR_M * uy),
            (fx + wx, fy + wy),
        ]
    )
    return region.intersection(half)


__all__ = ["Band", "band", "between", "tilted", "walls", "welded", "where_above"]
