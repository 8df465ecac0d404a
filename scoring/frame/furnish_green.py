"""Plants and what stands outdoors: trees, hedges, fences, a shed, a car, bins; and lamps, columns, chimneys."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
from shapely.geometry import Polygon

from scoring.frame.finishes import (
    BARK,
    BRICK,
    LACE,
    LAMP,
    LEAVES,
    METAL,
    OPAQUE,
    PLAIN,
    PLANK,
    PLASTER,
    ROOFING,
    Finish,
    Rgb,
    dimmed,
)
from scoring.frame.furnish_storage import BLACK, STEEL
from scoring.frame.solids import Flat, Pile, Vector, plus, unit
from scoring.frame.stand import Stand

CROWN_FROM_M = 2.2
"""The crown of a tree, wider than its trunk, begins over any lens: nothing on its floor is hidden by it."""

GREENS: tuple[Rgb, ...] = ((0.10, 0.17, 0.045), (0.13, 0.19, 0.06), (0.08, 0.14, 0.05), (0.16, 0.19, 0.05))


def leaves(dice: np.random.Generator, size: float) -> Finish:
    """Foliage with leaves of about that size."""
    green = GREENS[int(dice.integers(len(GREENS)))]
    return Finish(LEAVES, green, dimmed(green, 0.3), (size, size), 0.5, int(dice.integers(65536)), LACE)


def clump(pile: Pile, centre: Vector, size: Vector, finish: Finish, dice: np.random.Generator, *, rough: float = 0.18,
          cuts: int = 1) -> None:  # fmt: skip
    """A rounded mass of foliage: a dented ball of 20 facets, or of 80 when each is cut in four."""
    points, faces = ball(cuts)
    bumps = 1.0 - rough * dice.random(len(points))
    at = [
        (centre[0] + size[0] * x * bump, centre[1] + size[1] * y * bump, centre[2] + size[2] * z * bump)
        for (x, y, z), bump in zip(points, bumps.tolist(), strict=True)
    ]
    for a, b, c in faces:
        pile.facet((at[a], at[b], at[c]), finish)


@cache
def ball(cuts: int) -> tuple[list[Vector], list[tuple[int, int, int]]]:
    """A ball as an icosahedron whose sides are cut in four so many times: corners and triangles."""
    g = (1.0 + 5.0**0.5) / 2.0
    first: list[Vector] = [(-1, g, 0), (1, g, 0), (-1, -g, 0), (1, -g, 0), (0, -1, g), (0, 1, g), (0, -1, -g),
                           (0, 1, -g), (g, 0, -1), (g, 0, 1), (-g, 0, -1), (-g, 0, 1)]  # fmt: skip
    points = [unit(p) for p in first]
    faces = [(0, 11, 5), (0, 5, 1), (0, 1, 7), (0, 7, 10), (0, 10, 11), (1, 5, 9), (5, 11, 4), (11, 10, 2), (10, 7, 6),
             (7, 1, 8), (3, 9, 4), (3, 4, 2), (3, 2, 6), (3, 6, 8), (3, 8, 9), (4, 9, 5), (2, 4, 11), (6, 2, 10),
             (8, 6, 7), (9, 8, 1)]  # fmt: skip
    for _ in range(cuts):
        middle: dict[tuple[int, int], int] = {}
        finer = []
        for a, b, c in faces:
            d, e, f = (_half(points, middle, *pair) for pair in ((a, b), (b, c), (c, a)))
            finer += [(a, d, f), (d, b, e), (f, e, c), (d, e, f)]
        faces = finer
    return points, faces


def _half(points: list[Vector], middle: dict[tuple[int, int], int], i: int, j: int) -> int:
    """The corner half way between two on the ball, made once."""
    key = (min(i, j), max(i, j))
    if key not in middle:
        middle[key] = len(points)
        points.append(unit(plus(points[i], points[j])))
    return middle[key]


def grow_tree(pile: Pile, at: Flat, z: Flat, trunk_r: float, dice: np.random.Generator, *, near: bool) -> None:
    """A trunk and clumps of foliage from ``CROWN_FROM_M`` up; ``z`` is its foot and its top, coarser when far."""
    (x, y), (base, top) = at, z
    tall = top - base
    pale = dice.random() < 0.3
    bark = Finish(BARK, (0.42, 0.40, 0.37) if pale else (0.17, 0.125, 0.09), strength=0.6, seed=int(dice.integers(999)))
    fork = base + max(CROWN_FROM_M + 0.3, 0.45 * tall)
    stem = ((trunk_r, base), (0.8 * trunk_r, base + 0.3), (0.62 * trunk_r, fork), (0.1 * trunk_r, top - 0.2 * tall))
    pile.lathe(x, y, stem, bark, 8 if near else 5)
    wide = min(0.32 * tall, 2.4)
    low = base + CROWN_FROM_M
    finish = leaves(dice, 0.055 if near else 0.11)
    count = 8 if near else 5
    for k in range(count):
        turn = 2.0 * math.pi * (k / (count - 1) + float(dice.uniform(-0.06, 0.06)))
        r = 0.0 if k == count - 1 else 0.62 * wide * float(dice.uniform(0.8, 1.1))
        size = wide * float(dice.uniform(0.5, 0.68))
        high = min(0.42 * (top - low), 1.1 * size)
        lift = low + high * 1.05 + float(dice.uniform(0.0, 0.6)) * max(0.0, top - low - 2.3 * high)
        middle = (x + r * math.cos(turn), y + r * math.sin(turn), top - high if k == count - 1 else lift)
        clump(pile, middle, (size, size, high), finish, dice, cuts=1 if near else 0, rough=0.25)


def tree(s: Stand) -> None:
    """A tree whose trunk fills the footprint."""
    middle = Polygon(s.thing.outline).centroid
    grow_tree(s.pile, (middle.x, middle.y), (s.base, s.top), 0.46 * min(s.w, s.d), s.dice, near=True)


def hedge(s: Stand) -> None:
    """A clipped hedge: a block of leaves with an uneven skin of clumps."""
    finish = leaves(s.dice, 0.045)
    dark = finish._replace(colour=dimmed(finish.colour, 0.35), optic=OPAQUE)
    s.box((0.07, s.w - 0.07), (0.07, s.d - 0.07), (0.0, s.h - 0.07), dark, skip="u")
    s.box((0.03, s.w - 0.03), (0.03, s.d - 0.03), (0.0, s.h - 0.03), finish, skip="u")
    s.box((0.0, s.w), (0.0, s.d), (0.08, s.h), finish, skip="u")


def plant(s: Stand) -> None:
    """A pot with blades or leaves that arch outward; a bed of shrubs when it is long."""
    dice = s.dice
    if max(s.w, s.d) > 1.7 * min(s.w, s.d):
        wood = Finish(PLANK, (0.30, 0.22, 0.15), (0.05, 0.04, 0.03), (1.0, 0.12), 0.4, 5)
        low = min(0.42, 0.5 * s.h) if "planter" in s.thing.name else 0.06
        s.box((0.0, s.w), (0.0, s.d), (0.0, low), wood, top=Finish(BARK, (0.07, 0.05, 0.035)))
        along = s.w >= s.d
        count = max(2, round(max(s.w, s.d) / 0.42))
        for k in range(count):
            part = (k + 0.5) / count
            a, b = (part * s.w, s.d / 2.0) if along else (s.w / 2.0, part * s.d)
            r = min(0.49 * min(s.w, s.d), 0.5 * max(s.w, s.d) / count)
            x, y, z = s.at(a, b, (low + s.h) / 2.0)
            clump(s.pile, (x, y, z), (r, r, (s.h - low) / 2.0), leaves(dice, 0.035), dice, rough=0.3)
        return
    r = 0.5 * min(s.w, s.d)
    mid = (s.w / 2.0, s.d / 2.0)
    pot = min(0.3, 0.3 * s.h)
    clay = Finish(PLAIN, ((0.42, 0.22, 0.14), (0.62, 0.60, 0.57), (0.16, 0.17, 0.18))[int(dice.integers(3))])
    s.turned(*mid, ((0.42 * r, 0.0), (0.62 * r, pot), (0.55 * r, pot), (0.5 * r, pot - 0.03)), clay, 12)
    s.turned(*mid, ((0.53 * r, pot - 0.03), (0.0, pot - 0.03)), Finish(BARK, (0.06, 0.045, 0.03)), 12)
    x, y, _ = s.at(*mid, 0.0)
    if "lemon" in s.thing.name or s.h > 1.85:
        s.turned(*mid, ((0.022, pot - 0.03), (0.016, 0.62 * s.h)), Finish(BARK, (0.2, 0.15, 0.1)), 6)
        clump(
            s.pile, (x, y, s.base + 0.77 * s.h), (0.98 * r, 0.98 * r, 0.23 * s.h), leaves(dice, 0.04), dice, rough=0.3
        )
        return
    green = GREENS[int(dice.integers(len(GREENS)))]
    broad = dice.random() < 0.6
    if broad:
        s.turned(*mid, ((0.014, pot - 0.03), (0.008, 0.9 * s.h)), Finish(BARK, (0.17, 0.15, 0.09)), 6)
    for k in range(26 if broad else 22):
        turn = 2.399963 * k + float(dice.uniform(-0.2, 0.2))
        tone = float(dice.uniform(0.75, 1.45))
        look = Finish(PLAIN, dimmed(green, tone))
        if broad:
            z = pot + (s.h - pot) * (0.12 + 0.78 * (k + 0.5) / 26)
            _leaf(s.pile, (x, y, s.base + z), turn, 0.9 * r * (1.0 - 0.35 * k / 26), 0.24 * r, 0.10 * s.h, s.top, look)
        else:
            lift = (s.h - pot) * float(dice.uniform(0.55, 0.96))
            _blade(s.pile, (x, y, s.base + pot - 0.03), turn, 0.92 * r * float(dice.uniform(0.6, 1.0)), lift, look)


def _leaf(
    pile: Pile, stem: Vector, turn: float, reach: float, half: float, lift: float, top: float, look: Finish
) -> None:
    """A broad leaf: four facets folded along its rib, rising then drooping."""
    c, n = math.cos(turn), math.sin(turn)

    def at(out: float, side: float, up: float) -> Vector:
        return (stem[0] + out * c - side * n, stem[1] + out * n + side * c, min(stem[2] + up, top))

    half = min(half, 0.3 * reach)
    root, belly, tip = at(0.02, 0.0, 0.0), at(0.55 * reach, 0.0, lift), at(0.95 * reach, 0.0, 0.55 * lift)
    for side in (1.0, -1.0):
        rim = at(0.5 * reach, side * half, 0.8 * lift)
        pair = ((root, belly, rim), (belly, tip, rim))
        for p, q, r in pair:
            pile.facet((p, q, r) if side > 0 else (p, r, q), look)


def _blade(pile: Pile, root: Vector, turn: float, reach: float, lift: float, look: Finish) -> None:
    """A long narrow leaf that arches outward."""
    c, n = math.cos(turn), math.sin(turn)
    last: tuple[Vector, Vector] | None = None
    for k in range(5):
        p = k / 4.0
        out = reach * p**1.8
        up = lift * (p * (1.75 - 0.75 * p))
        half = 0.028 * (1.0 - p) + 0.003
        left = (root[0] + out * c - half * n, root[1] + out * n + half * c, root[2] + up)
        right = (root[0] + out * c + half * n, root[1] + out * n - half * c, root[2] + up)
        if last is not None:
            pile.facet((last[1], right, left), look)
            pile.facet((last[1], left, last[0]), look)
        last = (left, right)


def fence(s: Stand) -> None:
    """Boards on posts."""
    wood = Finish(PLANK, (0.30, 0.22, 0.15), (0.04, 0.03, 0.02), (3.0, 0.12), 0.5, int(s.dice.integers(999)))
    along = s.w >= s.d
    long, thick = (s.w, s.d) if along else (s.d, s.w)
    corner, run = (s.at(0.0, 0.0, 0.0), s.way(1.0, 0.0)) if along else (s.at(s.w, 0.0, 0.0), s.way(0.0, 1.0))
    side = s.way(0.0, 1.0) if along else s.way(-1.0, 0.0)

    def at(p: float, q: float, z: float) -> Vector:
        return (corner[0] + p * run[0] + q * side[0], corner[1] + p * run[1] + q * side[1], corner[2] + z)

    up = (0.0, 0.0, s.h - 0.08)
    inner = 0.3 * thick
    s.pile.quad(at(0.0, thick - inner, 0.03), up, (long * run[0], long * run[1], 0.0), wood)
    s.pile.quad(at(long, inner, 0.03), up, (-long * run[0], -long * run[1], 0.0), wood)
    cap = Finish(PLAIN, (0.27, 0.20, 0.14))
    count = max(1, round(long / 1.8))
    for k in range(count + 1):
        p = min(max(0.0, long * k / count - 0.05), long - 0.1)
        span = ((p, p + 0.1), (0.0, thick))
        s.box(*(span if along else span[::-1]), (0.0, s.h), cap, upright=True, skip="u")
    span = ((0.0, long), (0.15 * thick, 0.85 * thick))
    s.box(*(span if along else span[::-1]), (s.h - 0.06, s.h - 0.02), cap)


def shed(s: Stand) -> None:
    """Boarded walls, a door, a sloped roof."""
    wood = Finish(PLANK, (0.27, 0.20, 0.14), (0.04, 0.03, 0.02), (4.0, 0.13), 0.45, 7)
    s.box((0.08, s.w - 0.08), (0.08, s.d - 0.08), (0.0, s.h - 0.35), wood, skip="tu")
    door = Finish(PLANK, (0.33, 0.30, 0.25), (0.06, 0.05, 0.04), (4.0, 0.1), 0.3, 9)
    s.box((0.3 * s.w, 0.3 * s.w + 0.8), (s.d - 0.08, s.d - 0.05), (0.0, 1.75), door, upright=True)
    roof = Finish(ROOFING, (0.14, 0.14, 0.14), seed=3)
    ridge = s.h
    low, mid = s.h - 0.35, s.d / 2.0
    s.pile.facet((s.at(0, s.d, low), s.at(0, mid, ridge), s.at(s.w, mid, ridge), s.at(s.w, s.d, low)), roof)
    s.pile.facet((s.at(s.w, 0, low), s.at(s.w, mid, ridge), s.at(0, mid, ridge), s.at(0, 0, low)), roof)
    for a, turn in ((0.08, -1), (s.w - 0.08, 1)):
        s.pile.facet((s.at(a, s.d - 0.08, low), s.at(a, mid, ridge - 0.02), s.at(a, 0.08, low))[::turn], wood)


def car(s: Stand) -> None:
    """A plain small car: body, cabin of glass, wheels."""
    along = s.w >= s.d
    long, wide = (s.w, s.d) if along else (s.d, s.w)
    paint = Finish(PLAIN, ((0.10, 0.15, 0.22), (0.45, 0.46, 0.46), (0.28, 0.07, 0.06))[int(s.dice.integers(3))])
    glass = Finish(PLAIN, (0.04, 0.05, 0.055))

    def at(p: float, q: float, z: float) -> Vector:
        return s.at(p, q, z) if along else s.at(s.w - q, p, z)

    def ring(z: float, p0: float, p1: float, inset: float) -> list[Vector]:
        return [at(p0, inset, z), at(p1, inset, z), at(p1, wide - inset, z), at(p0, wide - inset, z)]

    layers = (
        (ring(0.25, 0.05, long - 0.05, 0.06), ring(0.55, 0.0, long, 0.0), paint),
        (ring(0.55, 0.0, long, 0.0), ring(0.86, 0.06, long - 0.04, 0.04), paint),
        (ring(0.86, 0.2 * long, 0.93 * long, 0.06), ring(s.h - 0.05, 0.36 * long, 0.84 * long, 0.2), glass),
        (ring(s.h - 0.05, 0.36 * long, 0.84 * long, 0.2), ring(s.h, 0.42 * long, 0.78 * long, 0.28), paint),
    )
    for low, high, look in layers:
        for k in range(4):
            j = (k + 1) % 4
            s.pile.facet((low[k], low[j], high[j], high[k]), look)
    s.pile.facet(layers[1][1], paint)
    s.pile.facet(layers[3][1], paint)
    s.pile.facet(layers[0][0][::-1], BLACK)
    for p in (0.19 * long, 0.80 * long):
        for q0, q1 in ((0.0, 0.2), (wide - 0.2, wide)):
            _wheel(s.pile, at, p, q0, q1)


def _wheel(pile: Pile, at: Callable[[float, float, float], Vector], p: float, q0: float, q1: float) -> None:
    rims = []
    for q in (q0, q1):
        rims.append(
            [
                at(p + 0.31 * math.cos(2 * math.pi * k / 14), q, 0.31 + 0.31 * math.sin(2 * math.pi * k / 14))
                for k in range(14)
            ]
        )
    for k in range(14):
        j = (k + 1) % 14
        pile.facet((rims[0][j], rims[0][k], rims[1][k], rims[1][j]), BLACK)
    pile.facet(rims[0], BLACK)
    pile.facet(rims[1][::-1], BLACK)


def bin_(s: Stand) -> None:
    """Bins with lids; a water butt is a barrel."""
    if "butt" in s.thing.name:
        r = min(s.w, s.d) / 2.0
        wood = Finish(PLANK, (0.10, 0.16, 0.11), (0.04, 0.05, 0.04), (2.0, 0.1), 0.3)
        s.turned(s.w / 2, s.d / 2, ((0.85 * r, 0.0), (r, 0.5 * s.h), (0.85 * r, s.h), (0.0, s.h)), wood, 14)
        return
    count = max(1, round(max(s.w, s.d) / 0.6))
    along = s.w >= s.d
    for k in range(count):
        tone = ((0.07, 0.09, 0.08), (0.10, 0.13, 0.20), (0.17, 0.12, 0.08))[k % 3]
        look = Finish(PLAIN, tone)
        long = max(s.w, s.d) / count
        span = (k * long + 0.03, (k + 1) * long - 0.03), (0.03, min(s.w, s.d) - 0.03)
        a, b = span if along else span[::-1]
        s.soft(a, b, (0.04, s.h - 0.08), look, 0.02)
        s.soft(a, (b[0], b[1]), (s.h - 0.08, s.h), Finish(PLAIN, dimmed(tone, 0.8)), 0.03)


def column(s: Stand) -> None:
    """A plastered post."""
    outline = Polygon(s.thing.outline)
    s.pile.prism(outline, s.base, s.top, Finish(PLASTER, (0.68, 0.66, 0.62), strength=0.3))


def chimney(s: Stand) -> None:
    """A breast of bricks, or a flue of metal when it is thin."""
    outline = Polygon(s.thing.outline)
    if min(s.w, s.d) < 0.3:
        r = min(s.w, s.d) / 2.0
        s.turned(s.w / 2, s.d / 2, ((r, 0.0), (r, s.h)), Finish(METAL, (0.06, 0.06, 0.062), strength=0.3), 12)
    else:
        brick = Finish(BRICK, (0.40, 0.22, 0.16), (0.48, 0.45, 0.41), (0.225, 0.075), 0.5, 11)
        s.pile.prism(outline, s.base, s.top, brick)


def fan(s: Stand) -> None:
    """A ceiling fan."""
    s.turned(s.w / 2, s.d / 2, ((0.02, 0.12), (0.02, s.h)), STEEL, 8)
    s.turned(s.w / 2, s.d / 2, ((0.0, 0.0), (0.1, 0.03), (0.1, 0.12), (0.0, 0.12)), STEEL, 12)


def lamp(s: Stand) -> None:
    """A shade on a stand or on a cord; the shade sends out light."""
    shade = Finish(PLAIN, (0.72, 0.67, 0.57), optic=LAMP)
    mid = (s.w / 2.0, s.d / 2.0)
    r = min(s.w, s.d) / 2.0
    metal = Finish(METAL, (0.20, 0.18, 0.16), strength=0.3)
    if s.thing.base_m > 1.0:
        tall = min(0.32, 0.5 * s.h)
        s.turned(*mid, ((0.006, tall), (0.006, s.h)), metal, 5)
        s.turned(*mid, ((0.0, 0.05), (0.94 * r, 0.05)), shade, 16)
        s.turned(*mid, ((r, 0.0), (0.55 * r, tall), (0.0, tall)), shade, 16)
        return
    tall = 0.3 if s.h > 0.8 else 0.5 * s.h
    s.turned(
        *mid, ((0.7 * r, 0.0), (0.7 * r, 0.025), (0.03, 0.04), (0.012, 0.05), (0.012, s.h - 0.6 * tall)), metal, 12
    )
    s.turned(*mid, ((r, s.h - tall), (0.66 * r, s.h)), shade, 16)
    s.turned(*mid, ((0.0, s.h - 0.97 * tall), (0.97 * r, s.h - 0.97 * tall)), shade, 16)
    s.turned(*mid, ((0.66 * r, s.h - 0.02), (0.0, s.h - 0.02)), shade, 16)


__all__ = [
    "CROWN_FROM_M", "ball", "bin_", "car", "chimney", "clump", "column", "fan", "fence", "grow_tree", "hedge", "lamp",
    "leaves", "plant", "shed", "tree",
]  # fmt: skip
