"""The shell of a level: floors, ceilings, walls with their openings, reveals, wells and steps.

All of it comes from *cells*, the very blocks of air of the sight engine: rooms less the wells of flights, openings,
and flights. A wall stands on every side of a cell except where another cell's air is open on the other side::

        z ▲  side of a room, unrolled along s
          │ ┌──────────────────────────────┐ ceiling (lower of its slopes)
          │ │   wall      ┌────────┐       │
          │ │             │  hole  │       │   the wall is the cell's own side less its neighbours'
          │ └─────────────┴────────┴───────┘ floor
          └────────────────────────────────────▶ s
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from scoring.floor.bands import where_above
from scoring.floor.overlay import quiet
from scoring.floor.plan import OUTSIDE
from scoring.floor.shapes import Height, Hole, Room, Run, Storey, height_at, level_height

TOUCH_M = 2e-4
"""Sides of cells this near to each other are the same side."""
OPEN_SKY_M = 40.0
"""Air over an outdoor zone reaches this high."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A block of air: a polygon between a floor and the lowest of its ceilings."""

    polygon: Any
    low: float
    tops: tuple[Height, ...]
    outdoor: bool
    source: Room | Hole | Run
    open_side: tuple[float, float] | None = None
    """Unit vector toward a side that opens to the outside."""

    def ceiling_at(self, x: float, y: float) -> float:
        """Height of its ceiling over a point [m]."""
        return min(height_at(top, x, y) for top in self.tops)


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a cell: from a to b with the air on its left."""

    a: tuple[float, float]
    b: tuple[float, float]
    cell: int
    along: LineString


@quiet
def cells_of(storey: Storey, runs: list[Run]) -> list[Cell]:
    """The air of one level's rooms and openings, less the wells of the flights that meet it."""
    wells = shapely.union_all([run.polygon for run in runs]) if runs else Polygon()
    cells = []
    for room in storey.rooms:
        outdoor = room.space.outdoor
        tops = room.ceilings or (level_height(room.floor + OPEN_SKY_M),)
        cells.append(Cell(room.polygon.difference(wells), room.floor, tops, outdoor, room))
    for hole in storey.holes:
        side = None
        if OUTSIDE in hole.opening.between:
            sign = -1.0 if hole.opening.between[1] == OUTSIDE else 1.0
            side = (sign * hole.normal[0], sign * hole.normal[1])
        cells.append(Cell(hole.polygon, hole.sill, (level_height(hole.head),), False, hole, side))
    return cells


def cell_of_run(run: Run) -> Cell:
    """The air over a flight, down to the floor of its foot: its steps stand in it."""
    return Cell(run.polygon, run.foot, (level_height(run.top),), False, run)


def sides_of(cells: list[Cell]) -> list[Side]:
    """The sides of all cells, each with its air on the left."""
    sides = []
    for i, cell in enumerate(cells):
        for part in shapely.get_parts(cell.polygon):
            if part.geom_type != "Polygon":
                continue
            turned = shapely.geometry.polygon.orient(part)
            for ring in (turned.exterior, *turned.interiors):
                at = [tuple(p) for p in shapely.get_coordinates(ring).tolist()]
                for a, b in pairwise(at):
                    if math.dist(a, b) > 1e-6:
                        sides.append(Side(a, b, i, LineString((a, b))))
    return sides


@quiet
def wall_of(side: Side, cells: list[Cell], sides: list[Side], near: Any) -> Any:
    """The wall on a side as a region over (s, z): s from a toward b [m], z absolute [m]. Empty when all is open."""
    cell = cells[side.cell]
    own = _face(side, cell, 0.0, math.dist(side.a, side.b))
    length = math.dist(side.a, side.b)
    ux, uy = (side.b[0] - side.a[0]) / length, (side.b[1] - side.a[1]) / length
    if cell.open_side is not None and uy * cell.open_side[0] - ux * cell.open_side[1] > 0.99:
        return Polygon()
    gone = []
    for other in near:
        if other.cell == side.cell:
            continue
        spans = []
        for x, y in (other.a, other.b):
            if abs(ux * (y - side.a[1]) - uy * (x - side.a[0])) > TOUCH_M:
                break
            spans.append(ux * (x - side.a[0]) + uy * (y - side.a[1]))
        if len(spans) < 2 or spans[0] < spans[1]:
            continue
        s0, s1 = max(spans[1], 0.0), min(spans[0], length)
        if s1 - s0 > 1e-4:
            gone.append(_face(side, cells[other.cell], s0, s1))
    return own.difference(shapely.union_all(gone)) if gone else own


def _face(side: Side, cell: Cell, s0: float, s1: float) -> Any:
    """A cell's air against a stretch of a side, over (s, z)."""
    length = math.dist(side.a, side.b)
    ux, uy = (side.b[0] - side.a[0]) / length, (side.b[1] - side.a[1]) / length
    tall = max(height_at(top, *at) for top in cell.tops for at in (side.a, side.b)) + 1.0
    region: Any = Polygon(((s0, cell.low), (s1, cell.low), (s1, tall), (s0, tall)))
    for k, gx, gy in cell.tops:
        here = k + gx * side.a[0] + gy * side.a[1]
        slope = gx * ux + gy * uy
        z0, z1 = here + slope * s0, here + slope * s1
        under = Polygon(((s0, -1e3), (s1, -1e3), (s1, z1), (s0, z0)))
        region = region.intersection(under)
    return region


@quiet
def ceilings_of(cell: Cell) -> list[tuple[Any, Height]]:
    """The parts of a cell's ceiling, each with the plane it lies in: the lowest of all."""
    parts = []
    for i, top in enumerate(cell.tops):
        region = cell.polygon
        for j, other in enumerate(cell.tops):
            if j != i and other != top:
                region = where_above(region, other, top)
        region = where_above(region, top, level_height(cell.low))
        if not region.is_empty and top not in cell.tops[:i]:
            parts.append((region, top))
    return parts


@quiet
def footprint_of(storey: Storey, runs: list[Run], thick: float) -> Any:
    """The outline of the building on a level, walls and stairwells and all."""
    indoor = [room.polygon for room in storey.rooms if not room.space.outdoor]
    if indoor:
        indoor += [run.polygon for run in runs]
    outdoor = [room.polygon for room in storey.rooms if room.space.outdoor]
    if not indoor:
        return Polygon()
    grown = shapely.union_all([shapely.buffer(p, thick, join_style="mitre") for p in indoor])
    shell = Polygon()
    for part in shapely.get_parts(grown):
        holes = [r for r in part.interiors if any(p.intersects(Polygon(r)) for p in outdoor)]
        shell = shell.union(Polygon(part.exterior, holes))
    return shell.difference(shapely.union_all(outdoor)) if outdoor else shell


def wall_thickness_m(storey: Storey) -> float:
    """Thickness of the outer walls: as deep as the openings in them."""
    depths = [
        hole.opening.depth_m
        for hole in storey.holes
        if OUTSIDE in hole.opening.between or hole.opening.kind in ("window", "glass")
    ]
    return float(np.median(depths)) if depths else 0.3


__all__ = [
    "Cell",
    "Side",
    "ceilings_of",
    "cell_of_run",
    "cells_of",
    "footprint_of",
    "sides_of",
    "wall_of",
    "wall_thickness_m",
]
