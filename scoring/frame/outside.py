"""What lies round the place: ground, trees, a hedge, neighbours' plain houses far off, a belt of trees farther still.

Nothing of it stands on a space of the plan. A flat is as high over the ground as the name of its level says.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Point

from scoring.floor.plan import OUTSIDE, Plan
from scoring.floor.shapes import Hole, Run, Storey
from scoring.frame.decor import dice_of, lawn
from scoring.frame.finishes import (
    ASPHALT,
    BRICK,
    LAMP,
    LEAVES,
    METAL,
    PLAIN,
    PLASTER,
    ROOFING,
    TILE,
    Finish,
    dimmed,
)
from scoring.frame.furnish_green import GREENS, grow_tree, leaves
from scoring.frame.solids import FAR, GROUND, REAL, TRIM, Flat, Pile, Vector

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
STOREY_M = 3.0
SLAB_M = 0.2
"""Thickness of a balcony."""
RAIL_M = 1.05
"""Height of a balcony's balustrade."""
GROUND_M = 400.0
"""How far the ground goes."""
BELT_M = 130.0
"""Radius of the belt of trees that closes the view."""
WINDOW = Finish(PLAIN, (0.05, 0.06, 0.07))
FRAME = Finish(PLAIN, (0.70, 0.69, 0.67))


def ground_m(plan: Plan) -> float:
    """Height of the ground round the place [m]: under its lowest outdoor floor, or as the level's name says.

    A single level called "Third floor" stands three storeys up.
    """
    level = min(plan.levels, key=lambda one: one.elevation_m)
    name = level.name.lower()
    up = next((k + 1 for k, word in enumerate(ORDINALS) if word in name and len(plan.levels) == 1), 0)
    lowest = min((space.floor_m for space in level.spaces if space.outdoor and not up), default=0.0)
    return level.elevation_m + min(lowest, 0.0) - STOREY_M * up - 0.02


def surroundings(pile: Pile, plan: Plan, every: tuple[Storey, ...], flights: tuple[Run, ...], seed: int) -> None:
    """Add the outside."""
    pile.part, pile.seen = GROUND, REAL
    dice = dice_of(seed, "outside")
    low = ground_m(plan)
    drawn = shapely.union_all([room.polygon for storey in every for room in storey.rooms])
    x0, y0, x1, y1 = drawn.bounds
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    half = (x1 - x0) / 2.0, (y1 - y0) / 2.0
    near = shapely.box(x0 - 25.0, y0 - 25.0, x1 + 25.0, y1 + 25.0)
    wide = Point(middle).buffer(GROUND_M, quad_segs=4)
    sunk = [room.polygon for storey in every for room in storey.rooms if room.floor < low + 0.5]
    sunk += [hole.polygon for storey in every for hole in storey.holes if hole.sill < low + 0.5]
    sunk += [run.polygon for run in flights if run.foot < low + 0.5]
    taken = shapely.union_all(sunk)
    grass = lawn(seed)
    street = shapely.box(x0 - 300.0, y0 - 21.0, x1 + 300.0, y0 - 15.0)
    pile.level(near.difference(taken).difference(street), low, grass)
    pile.level(wide.difference(near).difference(street), low, grass)
    pile.level(street, low, Finish(ASPHALT, (0.12, 0.12, 0.12), strength=0.4, seed=seed))
    _decks(pile, every, low)
    for storey in every:
        for hole in storey.holes:
            if hole.walkable and OUTSIDE in hole.opening.between and hole.floor > low + 1.0:
                _lobby(pile, hole)
    pile.part = FAR
    _trees(pile, drawn.buffer(2.5), middle, half, low, dice)
    _hedges(pile, drawn.buffer(0.8).union(street), (x0 - 12.5, y0 - 12.5, x1 + 12.5, y1 + 12.5), low, dice)
    _houses(pile, middle, half, low, dice)
    _belt(pile, middle, low, dice)


def _decks(pile: Pile, every: tuple[Storey, ...], low: float) -> None:
    """The sides of outdoor floors that lie over the ground, and the balustrades of balconies."""
    pile.part = TRIM
    stone = Finish(PLASTER, (0.42, 0.41, 0.39), strength=0.5)
    for storey in every:
        indoor = shapely.union_all([room.polygon for room in storey.rooms if not room.space.outdoor])
        for room in storey.rooms:
            if room.space.outdoor and room.floor > low + 0.05:
                thick = SLAB_M if room.floor - low > 1.2 else room.floor - low
                pile.prism(room.polygon, room.floor - thick, room.floor - 0.003, stone)
            if room.space.use == "balcony":
                at = shapely.get_coordinates(room.polygon.exterior).tolist()
                for a, b in pairwise(at):
                    middle = Point((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
                    if indoor.distance(middle) > 0.5:
                        _balustrade(pile, (a[0], a[1]), (b[0], b[1]), room.floor)


def _lobby(pile: Pile, hole: Hole) -> None:
    """The common landing behind the entrance of a flat: a plain lit room, where else one would step into the air."""
    side = -1.0 if hole.opening.between[1] == OUTSIDE else 1.0
    nx, ny = side * hole.normal[0], side * hole.normal[1]
    tx, ty = -ny, nx
    near = hole.opening.depth_m / 2.0 + 0.002
    half, deep = math.dist(*hole.opening.jambs) / 2.0 + 0.7, 1.9
    low, high = hole.floor, hole.floor + 2.45
    wall = Finish(PLASTER, (0.60, 0.58, 0.54), strength=0.4, seed=3)
    floor = Finish(TILE, (0.42, 0.41, 0.39), (0.25, 0.24, 0.23), (0.3, 0.3), 0.3, 3)

    def at(t: float, n: float, z: float) -> Vector:
        return (hole.middle[0] + tx * t + nx * (near + n), hole.middle[1] + ty * t + ny * (near + n), z)

    ring = ((-half, 0.0), (-half, deep), (half, deep), (half, 0.0))
    for (t0, n0), (t1, n1) in pairwise(ring):
        pile.facet((at(t1, n1, low), at(t0, n0, low), at(t0, n0, high), at(t1, n1, high)), wall)
    down = [at(t, n, low) for t, n in ring]
    pile.facet(down, floor)
    pile.facet([at(t, n, high) for t, n in ring[::-1]], wall)
    x, y, _ = at(0.0, deep / 2.0, high)
    lamp = Finish(PLAIN, (0.78, 0.76, 0.71), optic=LAMP)
    pile.lathe(x, y, ((0.0, high - 0.09), (0.10, high - 0.075), (0.15, high - 0.03), (0.15, high)), lamp, 12)


def _balustrade(pile: Pile, a: Flat, b: Flat, floor: float) -> None:
    """Bars between two rails, on the inner side of an edge that runs with its floor on the left."""
    long = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    steel = Finish(METAL, (0.10, 0.10, 0.105), strength=0.3)

    def bar(s: float, wide: float, deep: float, low: float, high: float) -> None:
        corner = (a[0] + ux * s - uy * 0.02, a[1] + uy * s + ux * 0.02, floor + low)
        pile.block(corner, (ux * wide, uy * wide, 0.0), (-uy * deep, ux * deep, 0.0), high - low, steel)

    bar(0.0, long, 0.04, RAIL_M - 0.035, RAIL_M)
    bar(0.0, long, 0.03, 0.08, 0.105)
    count = max(2, round(long / 0.11))
    for k in range(count + 1):
        wide = 0.04 if k in (0, count) else 0.012
        bar(min(k * long / count, long - wide), wide, wide, 0.0 if wide > 0.03 else 0.1, RAIL_M - 0.035)


def _trees(pile: Pile, keep_off: Any, middle: Flat, half: Flat, low: float, dice: np.random.Generator) -> None:
    for k in range(9):
        turn = 2.0 * math.pi * (k + float(dice.uniform(0.0, 0.8))) / 9.0
        far = float(dice.uniform(5.0, 11.0))
        x = middle[0] + (half[0] + far) * math.cos(turn) * 1.1
        y = middle[1] + (half[1] + far) * math.sin(turn) * 1.1
        if not keep_off.contains(Point(x, y)):
            top = low + float(dice.uniform(4.5, 8.5))
            grow_tree(pile, (x, y), (low, top), float(dice.uniform(0.1, 0.2)), dice, near=False)


def _hedges(pile: Pile, keep_off: Any, box: tuple[float, float, float, float], low: float,
            dice: np.random.Generator) -> None:  # fmt: skip
    """A clipped hedge along the plot's far sides, where no space of the plan comes near."""
    finish = leaves(dice, 0.07)
    dark = Finish(LEAVES, dimmed(finish.colour, 0.5), dimmed(finish.colour, 0.2), (0.07, 0.07), 0.4)
    rim = shapely.LinearRing(shapely.box(*box).exterior.coords)
    for part in shapely.get_parts(rim.difference(keep_off)):
        at = shapely.get_coordinates(part).tolist()
        for (ax, ay), (bx, by) in pairwise(at):
            if math.hypot(bx - ax, by - ay) < 2.0:
                continue
            for thick, high, look in ((0.35, 1.7, finish), (0.25, 1.62, dark)):
                strip = shapely.LineString(((ax, ay), (bx, by))).buffer(thick, cap_style="flat")
                pile.prism(strip, low, low + high, look, bottom=False)


def _houses(pile: Pile, middle: Flat, half: Flat, low: float, dice: np.random.Generator) -> None:
    """Neighbours: plain walls with windows under gabled roofs."""
    for k in range(6):
        turn = 2.0 * math.pi * (k + 0.25 + float(dice.uniform(0.0, 0.5))) / 6.0
        far = float(dice.uniform(24.0, 36.0))
        x = middle[0] + (half[0] + far) * math.cos(turn)
        y = middle[1] + (half[1] + far) * math.sin(turn)
        tone = float(dice.uniform(0.85, 1.1))
        if dice.random() < 0.5:
            wall = Finish(BRICK, dimmed((0.40, 0.25, 0.19), tone), (0.48, 0.46, 0.42), (0.225, 0.075), 0.4, k)
        else:
            wall = Finish(PLASTER, dimmed((0.62, 0.59, 0.53), tone), strength=0.4, seed=k)
        _house(pile, (x, y), float(dice.integers(4)) * math.pi / 2.0, low, float(dice.uniform(3.0, 5.6)), wall, dice)


def _house(pile: Pile, at: Flat, turn: float, low: float, high: float, wall: Finish,
           dice: np.random.Generator) -> None:  # fmt: skip
    wide, deep = float(dice.uniform(8.0, 12.0)), float(dice.uniform(6.5, 8.5))
    c, s = math.cos(turn), math.sin(turn)

    def put(a: float, b: float, z: float) -> Vector:
        return (at[0] + a * c - b * s, at[1] + a * s + b * c, low + z)

    a, b = wide / 2.0, deep / 2.0
    ridge = high + 0.42 * deep
    corners = ((-a, -b), (a, -b), (a, b), (-a, b))
    for k in range(4):
        (p, q), (r, t) = corners[k], corners[(k + 1) % 4]
        pile.facet((put(p, q, 0.0), put(r, t, 0.0), put(r, t, high), put(p, q, high)), wall)
        long = math.hypot(r - p, t - q)
        ux, uy = (r - p) / long, (t - q) / long
        for z in (0.9, 3.5) if high > 4.6 else (0.9,):
            for j in range(max(1, round(long / 3.2))):
                m = (j + 0.5) * long / max(1, round(long / 3.2))
                for grow, lift, look in ((0.62, 0.02, FRAME), (0.55, 0.03, WINDOW)):
                    x0, y0 = p + ux * (m - grow) + uy * lift, q + uy * (m - grow) - ux * lift
                    x1, y1 = p + ux * (m + grow) + uy * lift, q + uy * (m + grow) - ux * lift
                    extra = grow - 0.55
                    pile.facet(
                        (
                            put(x0, y0, z - extra),
                            put(x1, y1, z - extra),
                            put(x1, y1, z + 1.2 + extra),
                            put(x0, y0, z + 1.2 + extra),
                        ),
                        look,
                    )
    roof = Finish(ROOFING, dimmed((0.22, 0.14, 0.11), float(dice.uniform(0.7, 1.2))), seed=int(dice.integers(99)))
    e = 0.4
    eave = high - 0.1
    pile.facet(
        (put(-a - e, -b - e, eave), put(a + e, -b - e, eave), put(a + e, 0.0, ridge), put(-a - e, 0.0, ridge)), roof
    )
    pile.facet(
        (put(a + e, b + e, eave), put(-a - e, b + e, eave), put(-a - e, 0.0, ridge), put(a + e, 0.0, ridge)), roof
    )
    for side in (1.0, -1.0):
        ring = (put(side * a, -side * b, high), put(side * a, side * b, high), put(side * a, 0.0, ridge - 0.1))
        pile.facet(ring, wall)


def _belt(pile: Pile, middle: Flat, low: float, dice: np.random.Generator) -> None:
    """Woods on the horizon, as a ring of uneven height in two rows."""
    for row, (radius, least) in enumerate(((BELT_M, 5.0), (1.5 * BELT_M, 9.0))):
        count = 44
        green = dimmed(GREENS[row], 1.25)
        look = Finish(LEAVES, (green[0] + 0.03 * row, green[1] + 0.03 * row, green[2] + 0.05 * row), dimmed(green, 0.5),
                      (1.6, 1.6), 0.35, row)  # fmt: skip
        tops = [least + float(dice.uniform(0.0, 5.0)) for _ in range(count)]
        for k in range(count):
            one, two = 2.0 * math.pi * k / count, 2.0 * math.pi * (k + 1) / count
            ax, ay = middle[0] + radius * math.cos(one), middle[1] + radius * math.sin(one)
            bx, by = middle[0] + radius * math.cos(two), middle[1] + radius * math.sin(two)
            ring = ((bx, by, low), (ax, ay, low), (ax, ay, low + tops[k]), (bx, by, low + tops[(k + 1) % count]))
            pile.facet(ring, look)


__all__ = ["BELT_M", "GROUND_M", "ground_m", "surroundings"]
