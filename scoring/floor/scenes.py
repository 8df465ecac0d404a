"""Scenes: what a ray from a lens down to one floor can cross, and what is left to cast its shadow on that floor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from scoring.floor.bands import open_floors, walls, welded, where_above
from scoring.floor.overlay import join, less, quiet
from scoring.floor.place import Place
from scoring.floor.shapes import Hole, Solid, level_height, the
from scoring.floor.sight import Array


@dataclass(frozen=True, slots=True)
class Scene:
    """What decides how much of one floor is seen from one height."""

    edges: Array
    region: Any
    casters: tuple[Solid, ...]
    """Lower or hanging things, which hide part of the floor behind them."""


def scene(place: Place, level: int, z: float, floor: float) -> Scene:
    """What lies between a lens at absolute height z and a floor [m]; kept by the place.

    A ceiling, flat or sloped, never hides the floor of its own room (each is lowest over its own part, so a
    straight ray to the floor stays under it); only walls and solids do. Higher floors are solids here.
    """
    z, floor = round(z, 9), round(floor, 9)
    return place.keep(("scene", level, z, floor), lambda: _scene(place, level, z, floor))


@quiet
def _scene(place: Place, level: int, z: float, floor: float) -> Scene:
    storey = place.storeys[level]
    air: list[Any] = [
        outline
        for room, outline in zip(storey.rooms, open_floors(place, level), strict=True)
        if room.floor < z and all(c[0] > z for c in room.ceilings if c[1] == c[2] == 0.0)
    ]
    solids: list[Solid] = list(storey.solids)
    solids += [
        Solid(room.polygon, floor, room.floor, room.space.name, room.space.id, False)
        for room in storey.rooms
        if floor < room.floor < z
    ]
    for run in place.runs:
        if level in (run.flight.foot.level, run.flight.head.level):
            if z < run.top:
                air.append(where_above(run.polygon, level_height(z), run.treads))
            if run.flight.foot.level == level:
                solids += [step for step in run.steps if floor < step.top < z]
    solids += [
        Solid(hole.polygon, hole.floor, hole.sill, the(hole.opening.kind), hole.opening.id, False)
        for hole in storey.holes
        if hole.walkable and hole.sill > hole.floor
    ]
    air += [hole.polygon for hole in storey.holes if _shows_floor(hole) and hole.floor < z < hole.head]
    region = welded([part for part in air if not part.is_empty])
    full = [s.polygon for s in solids if s.base <= floor + 1e-9 and s.top >= z]
    if full:
        region = less(region, join(full))
    casters = tuple(
        s for s in solids if s.top > floor + 1e-9 and s.base < z - 1e-9 and not (s.base <= floor + 1e-9 and s.top >= z)
    )
    return Scene(walls(region), region, casters)


def _shows_floor(hole: Hole) -> bool:
    """Whether floor seen through it counts: not through a window or a pane over a sill."""
    return hole.walkable or hole.sill <= hole.floor + 1e-9


__all__ = ["Scene", "scene"]
