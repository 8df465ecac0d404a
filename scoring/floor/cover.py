"""Floor seen: how much of each space's floor a set of stations shows, once and twice, and what stays unseen."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.errors import GEOSException
from shapely.geometry import Polygon as Shape
from shapely.geometry.polygon import orient

from scoring.floor.findings import Cover, Polygon, Spot
from scoring.floor.overlay import (
    GRID_ADDS_UP,
    NOTHING,
    areal,
    join,
    join_apart,
    less,
    meet,
    meet_and_join,
    on_grid,
    quiet,
    without_hairs,
)
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.scenes import Scene, scene
from scoring.floor.shadows import Casters, casters, shadows
from scoring.floor.shapes import Room
from scoring.floor.sight import inside, visibility

SpaceKey = tuple[int, str]
"""A space of a plan: level and id."""

CLEAR_OF_WALLS = 1e-9
"""A view is drawn larger by this share, so that its sides and the floor's lie apart instead of nearly together."""

SPECK_M2 = 1e-6
"""Pieces of floor smaller than this are rounding, not floor."""


@dataclass(frozen=True, slots=True)
class Floors:
    """The floors of one level: each room's outline less what stands on it."""

    rooms: tuple[Room, ...]
    areas: NDArray[Any]
    """Polygons, shape (rooms,)."""
    heights: tuple[float, ...]
    """The absolute heights that occur among them [m]."""


def floors(place: Place, level: int) -> Floors:
    """The floors of a level; kept by the place."""

    def make() -> Floors:
        storey = place.storeys[level]
        taken = [s.polygon for s in storey.solids if not s.hangs]
        taken += [r.polygon for r in place.runs if level in (r.flight.foot.level, r.flight.head.level)]
        gone = join(taken)
        areas = np.array([less(room.polygon, gone) for room in storey.rooms], dtype=object)
        shapely.prepare(areas)
        return Floors(storey.rooms, areas, tuple(sorted({room.floor for room in storey.rooms})))

    return place.keep(("floors", level), make)


def floor_m2(place: Place, level: int, space_id: str) -> float:
    """Area of a space's floor that could be shown at all [m2]: what stands on it is no floor."""
    every = floors(place, level)
    areas = place.keep(("floor areas", level), lambda: shapely.area(every.areas))
    for room, area in zip(every.rooms, areas, strict=True):
        if room.space.id == space_id:
            return float(area)
    raise KeyError(space_id)


def reach_m(place: Place, height_m: float, *, outdoor: bool) -> float:
    """How far out floor counts as seen from a lens that high over it [m]: range and grazing, whichever ends first."""
    standard = place.standard
    limit = standard.sight_range_outdoor_m if outdoor else standard.sight_range_m
    grazing = math.tan(math.radians(standard.floor_grazing_min_deg))
    return min(limit, height_m / grazing) if grazing > 0.0 else limit


@quiet
def floor_seen(place: Place, station: Station, *, only: str | None = None) -> dict[SpaceKey, Any]:
    """The exact floor seen from one station, by space; spaces of which nothing is seen are left out.

    ``only`` asks about the one space of that id on the station's level.

    Nothing is seen from a station in a wall, in a thing as high as the lens, or off every floor.
    """
    z = place.lens_z(station)
    if z is None:
        return {}
    level = station.level
    every = floors(place, level)
    seen: dict[SpaceKey, Any] = {}
    for height in every.heights:
        if height >= z:
            continue
        what, things = _scene(place, level, z, height)
        if not inside(what.edges, station.x, station.y):
            continue
        for outdoor in (False, True):
            mask = np.array([r.floor == height and r.space.outdoor == outdoor for r in every.rooms])
            if only is not None:
                mask &= np.array([r.space.id == only for r in every.rooms])
            reach = reach_m(place, z - height, outdoor=outdoor)
            if not mask.any() or reach <= 0.0 or not _within(every.areas[mask], station, reach):
                continue
            view = _view(what, station, reach)
            if view is None:
                continue
            hidden = shadows(things, view, station.x, station.y, z - height, reach)
            ground = None if only else _ground(place, level, height, outdoor, every.areas[mask])
            near = np.flatnonzero(mask & shapely.intersects(every.areas, view))
            for i, bare in zip(near, _shares(view, every.areas[near], ground), strict=True):
                part = _lit(bare, hidden)
                if part.area > SPECK_M2:
                    seen[level, every.rooms[i].space.id] = part
    return seen


def _within(areas: NDArray[Any], station: Station, reach: float) -> bool:
    return bool(shapely.dwithin(areas, shapely.Point(station.x, station.y), reach).any())


def _scene(place: Place, level: int, z: float, height: float) -> tuple[Scene, Casters]:
    what = scene(place, level, z, height)
    things = place.keep(("casters", level, round(z, 9), height), lambda: casters(what.casters, height))
    return what, things


def _view(what: Scene, station: Station, reach: float) -> Any | None:
    try:
        rim = visibility(what.edges, station.x, station.y, reach)
    except ValueError:  # on a wall: no side of it is defined, so nothing is seen
        return None
    here = np.array([station.x, station.y])
    view: Any = Shape(here + (rim - here) * (1.0 + CLEAR_OF_WALLS))
    shapely.prepare(view)
    return view


def _ground(place: Place, level: int, height: float, outdoor: bool, areas: NDArray[Any]) -> Any:
    """Those floors as one region; kept by the place."""

    def make() -> Any:
        ground = join(areas)
        shapely.prepare(ground)
        return ground

    return place.keep(("ground", level, height, outdoor), make)


def _shares(view: Any, areas: NDArray[Any], ground: Any | None) -> list[Any]:
    """What a view shares with each of several floors. Shares and what is off the ground add up to the view."""
    if ground is None or len(areas) < 2:
        return [meet(view, area) for area in areas]
    try:
        parts = [areal(part) for part in shapely.intersection(view, areas)]
        rest = shapely.difference(view, ground)
        if abs(sum(part.area for part in parts) + rest.area - view.area) <= GRID_ADDS_UP * (1.0 + view.area):
            return parts
    except GEOSException:
        pass
    return [on_grid(shapely.intersection, view, area) for area in areas]


def _lit(part: Any, hidden: NDArray[Any]) -> Any:
    """A part of a floor without the shadows that fall on it."""
    if len(hidden) == 0:
        return part
    falls = hidden[shapely.intersects(part, hidden)]
    return less(part, join_apart(falls)) if len(falls) else part


@dataclass(frozen=True, slots=True)
class Depth:
    """One space's floor, by how many stations see it."""

    any: Any
    twice: Any
    only_m2: dict[int, float]
    """Per station that sees some of it: the floor that no other station sees [m2]."""


@quiet
def depth(parts: Mapping[int, Any]) -> Depth:
    """Overlay what several stations see of one floor: any, twice or more, and each one's own."""
    once: Any = NOTHING
    twice: list[Any] = []
    for part in parts.values():
        if once.is_empty:
            once = part
            continue
        both, once = meet_and_join(once, part)
        if both.area > 0.0:
            twice.append(both)
    deep = join(twice)
    return Depth(once, deep, _alone(parts, once, deep))


def _alone(parts: Mapping[int, Any], once: Any, deep: Any) -> dict[int, float]:
    """Area that each part has to itself [m2]: together, all that is seen less what is seen twice."""
    if deep.is_empty:
        return {i: float(part.area) for i, part in parts.items()}
    for overlay in (meet, partial(on_grid, shapely.intersection)):
        only = {i: max(float(part.area - overlay(part, deep).area), 0.0) for i, part in parts.items()}
        if abs(sum(only.values()) + deep.area - once.area) <= GRID_ADDS_UP * (1.0 + once.area):
            break
    return only


def target_share(place: Place, room: Room, best_share: float) -> float:
    """Share of a space's floor that is asked for: the standard's, or most of the best there is."""
    standard = place.standard
    least = standard.outdoor_share_min if room.space.outdoor else standard.floor_share_min
    return min(least, standard.floor_share_of_best * best_share)


@quiet
def cover(place: Place, level: int, room: Room, area: Any, found: Depth, best_share: float) -> Cover:
    """The finding for one space; its corners and its slack are filled in by the survey."""
    missing = without_hairs(less(area, found.any))
    pieces = sorted((p for p in _polygons(missing)), key=lambda p: -p.area)
    worst = pieces[0].representative_point() if pieces else None
    return Cover(
        level=level,
        space=room.space.id,
        floor_m2=float(area.area),
        seen_m2=float(found.any.area),
        twice_m2=float(found.twice.area),
        best_share=best_share,
        target_share=target_share(place, room, best_share),
        asked=room.space.cover,
        corners=(),
        once=rings(less(found.any, found.twice) if found.twice.area > 0.0 else found.any),
        twice=rings(found.twice),
        unseen=tuple(_rings(p) for p in pieces),
        worst_unseen=None if worst is None else (worst.x, worst.y),
    )


def rings(region: Any) -> tuple[Polygon, ...]:
    """A region as polygons of open rings, specks left out."""
    return tuple(_rings(part) for part in _polygons(region))


def _polygons(region: Any) -> list[Any]:
    return [p for p in shapely.get_parts(region) if p.geom_type == "Polygon" and p.area > SPECK_M2]


def _rings(polygon: Any) -> Polygon:
    turned = orient(polygon)
    return tuple(_ring(ring) for ring in (turned.exterior, *turned.interiors))


def _ring(ring: Any) -> tuple[Spot, ...]:
    return tuple(map(tuple, shapely.get_coordinates(ring)[:-1].tolist()))


__all__ = [
    "Depth", "Floors", "SpaceKey", "cover", "depth", "floor_m2", "floor_seen", "floors", "join", "reach_m", "rings",
    "target_share",
]  # fmt: skip
