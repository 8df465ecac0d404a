"""All faces of a scene, put together from the plan: shell, openings, things, and what lies outside."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from scoring.floor.overlay import quiet
from scoring.floor.plan import Plan
from scoring.floor.shapes import Hole, Room, Run, Storey, storeys
from scoring.floor.stairs import runs
from scoring.frame.decor import WOODWORK, Look, look_of
from scoring.frame.dress import dress_room, dress_wall
from scoring.frame.finishes import BRICK, PLANK, PLASTER, Finish
from scoring.frame.furnish import furnish
from scoring.frame.openings import dress_leaf, fill_opening
from scoring.frame.outside import ground_m, surroundings
from scoring.frame.roof import put_roof
from scoring.frame.shell import (
    Cell,
    ceilings_of,
    cell_of_run,
    cells_of,
    footprint_of,
    sides_of,
    wall_of,
    wall_thickness_m,
)
from scoring.frame.solids import CEILING, COUNTED, FLOOR, LEAF, PRISM, REAL, REVEAL, THING, TRIM, WALL, Face, Pile

SLAB_M = 0.3
REVEAL_M = 0.2
"""An opening cuts the outer wall when it ends this near to it: depths may differ within one house."""


def _joined(plan: Plan, level: int) -> set[int]:
    """A level and those that flights join to it, directly."""
    found = {level}
    for flight in plan.flights:
        ends = {flight.foot.level, flight.head.level}
        if level in ends:
            found |= ends
    return found


def home_of(plan: Plan, level: int) -> tuple[float, float, float, float]:
    """Middle, lowest floor and half diagonal of a level's indoor spaces [m]."""
    storey = storeys(plan)[level]
    rooms = [r for r in storey.rooms if not r.space.outdoor] or list(storey.rooms)
    x0, y0, x1, y1 = shapely.union_all([r.polygon for r in rooms]).bounds
    low = min(r.floor for r in rooms)
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0, low, float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / 2.0))


@quiet
def faces_of(plan: Plan, level: int, seed: int) -> list[Face]:
    """Every face of the scene round a level."""
    every, flights = storeys(plan), runs(plan)
    levels = sorted(_joined(plan, level))
    owner = _owners(plan)
    pile = Pile()
    cells: list[Cell] = []
    for k in levels:
        meet = [run for run in flights if k in (run.flight.foot.level, run.flight.head.level)]
        cells += cells_of(every[k], meet)
    inside = [run for run in flights if {run.flight.foot.level, run.flight.head.level} <= set(levels)]
    cells += [cell_of_run(run) for run in inside]
    _shell(pile, plan, cells, seed, owner)
    for run in inside:
        pile.owner = owner[id(run.flight)]
        _steps(pile, run, seed)
    for k in levels:
        for room in every[k].rooms:
            pile.owner = owner[id(room.space)]
            dress_room(pile, room, every[k].level.things, seed)
        for hole in every[k].holes:
            pile.owner = owner[id(hole.opening)]
            fill_opening(pile, hole, every[k], seed)
        _things(pile, every[k], seed, owner)
    pile.owner = -1
    _outer_walls(pile, plan, every, flights, levels, seed)
    surroundings(pile, plan, every, flights, seed)
    return pile.faces


def _owners(plan: Plan) -> dict[int, int]:
    """The row of ``scene.owners`` of each space, opening, thing and flight, by the identity of its value."""
    every: list[object] = []
    for level in plan.levels:
        every += [*level.spaces, *level.openings, *level.things]
    return {id(one): row for row, one in enumerate([*every, *plan.flights])}


def _shell(pile: Pile, plan: Plan, cells: list[Cell], seed: int, owner: dict[int, int]) -> None:
    """Floors, ceilings and walls of the cells."""
    sides = sides_of(cells)
    tree = shapely.STRtree([side.along for side in sides])
    looks = {id(cell.source): _look(cell, plan, seed) for cell in cells}
    level_of = {id(space): k for k, level in enumerate(plan.levels) for space in (*level.spaces, *level.openings)}
    for cell in cells:
        source = cell.source
        look = looks[id(source)]
        indoor = not cell.outdoor
        if isinstance(source, Run):
            pile.owner = owner[id(source.flight)]
        else:
            one = source.space if isinstance(source, Room) else source.opening
            pile.owner = owner[id(one)]
        pile.seen = REAL | COUNTED
        if not isinstance(source, Run):
            pile.part = FLOOR if isinstance(source, Room) else REVEAL
            pile.level(cell.polygon, cell.low, look.floor)
        if indoor:
            pile.part = CEILING if not isinstance(source, Hole) else REVEAL
            for region, (k, gx, gy) in ceilings_of(cell):
                if gx == 0.0 and gy == 0.0:
                    pile.level(region, k, look.ceiling, up=False)
                else:
                    _slope(pile, region, (k, gx, gy), look.ceiling)
    for side in sides:
        cell = cells[side.cell]
        source = cell.source
        if isinstance(source, Run):
            pile.owner = owner[id(source.flight)]
        else:
            one = source.space if isinstance(source, Room) else source.opening
            pile.owner = owner[id(one)]
        near = [sides[i] for i in tree.query(side.along, predicate="dwithin", distance=1e-3)]
        region = wall_of(side, cells, sides, near)
        if region.is_empty:
            continue
        pile.part = WALL if not isinstance(source, Hole) else REVEAL
        pile.seen = COUNTED if cell.outdoor else REAL | COUNTED
        length = side.along.length
        u = ((side.b[0] - side.a[0]) / length, (side.b[1] - side.a[1]) / length, 0.0)
        # The air is on the left of a side: seen from there u runs from b to a.
        turned = shapely.transform(region, lambda at, w=length: at * (-1.0, 1.0) + (w, 0.0))
        pile.flat((side.b[0], side.b[1], 0.0), (-u[0], -u[1], 0.0), (0.0, 0.0, 1.0), turned, looks[id(source)].walls)
        if isinstance(source, Room) and not cell.outdoor:
            pile.part, pile.seen = TRIM, REAL
            things = plan.levels[level_of[id(source.space)]].things
            dress_wall(pile, source, turned, (side.b, (-u[0], -u[1]), length), things, seed)
    pile.seen = REAL | COUNTED


def _look(cell: Cell, plan: Plan, seed: int) -> Look:
    if isinstance(cell.source, Room):
        return look_of(cell.source.space, seed)
    if isinstance(cell.source, Run):
        flight = cell.source.flight
        return look_of(plan.space(flight.head.level, flight.head.space), seed)
    return Look(WOODWORK, WOODWORK, WOODWORK)


def _slope(pile: Pile, region: Any, plane: tuple[float, float, float], finish: Finish) -> None:
    """A sloped ceiling, seen from below: u runs level, v down or up the fall."""
    k, gx, gy = plane
    steep = (gx * gx + gy * gy) ** 0.5
    long = (1.0 + steep * steep) ** 0.5
    ux, uy = -gy / steep, gx / steep
    fx, fy = gx / steep, gy / steep
    # (uphill, u) is right-handed from above, so (u, uphill) is from below.
    turned = shapely.transform(
        region,
        lambda at: np.column_stack([at[:, 0] * ux + at[:, 1] * uy, (at[:, 0] * fx + at[:, 1] * fy) * long]),
    )
    pile.flat((0.0, 0.0, k), (ux, uy, 0.0), (fx / long, fy / long, steep / long), turned, finish)


def _steps(pile: Pile, run: Run, seed: int) -> None:
    pile.part, pile.seen = THING, REAL | COUNTED
    tread = Finish(PLANK, (0.40, 0.27, 0.16), (0.06, 0.04, 0.025), (1.4, 0.3), 0.4, seed)
    for step in run.steps:
        pile.prism(step.polygon, step.base, step.top, WOODWORK, tread)


def _things(pile: Pile, storey: Storey, seed: int, owner: dict[int, int]) -> None:
    """Things and door leaves: as they look, and as the blocks that the sight engine counts."""
    rooms = {room.space.id: room for room in storey.rooms}
    for thing, solid in zip(storey.level.things, storey.solids, strict=False):
        pile.owner = owner[id(thing)]
        pile.part, pile.seen = PRISM, COUNTED
        pile.prism(solid.polygon, solid.base, solid.top, WOODWORK)
        pile.part, pile.seen = THING, REAL
        furnish(pile, thing, solid, rooms[thing.space], storey.level.things, seed)
    hung = [hole.opening for hole in storey.holes if hole.opening.leaf is not None]
    for opening, solid in zip(hung, storey.solids[len(storey.level.things) :], strict=True):
        pile.owner = owner[id(opening)]
        pile.part, pile.seen = LEAF, REAL | COUNTED
        pile.prism(solid.polygon, solid.base + 0.006, solid.top, WOODWORK)
        dress_leaf(pile, solid)
    pile.seen = REAL


def _outer_walls(
    pile: Pile, plan: Plan, every: tuple[Storey, ...], flights: tuple[Run, ...], levels: list[int], seed: int
) -> None:
    """The building from outside, with the holes of its openings, and a plain roof over the highest level."""
    pile.part, pile.seen = WALL, REAL
    brick = Finish(BRICK, (0.42, 0.24, 0.17), (0.50, 0.47, 0.43), (0.225, 0.075), 0.5, seed)
    render = Finish(PLASTER, (0.62, 0.59, 0.53), strength=0.5, seed=seed)
    finish = brick if seed % 3 else render
    for k in range(len(every)):
        storey = every[k]
        meet = [run for run in flights if k in (run.flight.foot.level, run.flight.head.level)]
        outline = footprint_of(storey, meet, wall_thickness_m(storey))
        if outline.is_empty:
            continue
        base = storey.level.elevation_m - SLAB_M if k else min(storey.level.elevation_m, ground_m(plan)) - 0.03
        tops = [max(storey.level.ceiling_m, r.space.ceiling_m or 0.0) + r.space.floor_m for r in storey.rooms
                if not r.space.outdoor]  # fmt: skip
        top = storey.level.elevation_m + max(tops) + 0.1
        holes = list(storey.holes)
        for part in shapely.get_parts(outline):
            turned = shapely.geometry.polygon.orient(part)
            for ring in (turned.exterior, *turned.interiors):
                at = shapely.get_coordinates(ring).tolist()
                for a, b in pairwise(at):
                    _outer_wall(pile, a, b, base, top, holes, finish)
        if k == len(every) - 1:
            put_roof(pile, outline, top, seed)
        elif k not in levels and k + 1 < len(every):
            pile.level(outline, top, finish)


def _outer_wall(pile: Pile, a: list[float], b: list[float], base: float, top: float, holes: list[Hole],
                finish: Finish) -> None:  # fmt: skip
    length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    if length < 1e-6:
        return
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    region: Any = Polygon(((0.0, base), (length, base), (length, top), (0.0, top)))
    for hole in holes:
        at = shapely.get_coordinates(hole.polygon)[:-1]
        off = abs(ux * (at[:, 1] - a[1]) - uy * (at[:, 0] - a[0]))
        s = ux * (at[:, 0] - a[0]) + uy * (at[:, 1] - a[1])
        near = s[off < REVEAL_M]
        if len(near) >= 2 and near.max() - near.min() > 0.9 * math.dist(*hole.opening.jambs):
            s0, s1 = float(near.min()), float(near.max())
            region = region.difference(Polygon(((s0, hole.sill), (s1, hole.sill), (s1, hole.head), (s0, hole.head))))
    pile.flat((a[0], a[1], 0.0), (ux, uy, 0.0), (0.0, 0.0, 1.0), region, finish)


__all__ = ["faces_of", "home_of"]
