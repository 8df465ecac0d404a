"""A thing's own frame: across its width, from its back to its front, and up; furniture is built in it.

::

        b (to the front)
        ▲        front
      d ┌──────────────────┐
        │                  │     a x b = up; a and b are unit vectors of the drawing, z is absolute
      0 └──────────────────┘
        0       back       w ──▶ a

All lengths in metres. Whatever is added must stay within 0..w, 0..d and base..top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from scoring.floor.plan import Thing
from scoring.floor.shapes import Room, Solid
from scoring.frame.finishes import Finish
from scoring.frame.solids import Flat, Pile, Vector


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a thing is built, and the dice that vary it."""

    pile: Pile
    thing: Thing
    corner: Flat
    a: Flat
    b: Flat
    w: float
    d: float
    base: float
    top: float
    dice: np.random.Generator
    room: Room
    others: Sequence[Thing]
    family: int
    """The same for all things of a room."""

    @property
    def h(self) -> float:
        """Height from base to top [m]."""
        return self.top - self.base

    def at(self, a: float, b: float, z: float) -> Vector:
        """A point of the thing's frame in the world; z counts from the base."""
        return (
            self.corner[0] + a * self.a[0] + b * self.b[0],
            self.corner[1] + a * self.a[1] + b * self.b[1],
            self.base + z,
        )

    def way(self, a: float, b: float, z: float = 0.0) -> Vector:
        """A vector of the thing's frame in the world."""
        return (a * self.a[0] + b * self.b[0], a * self.a[1] + b * self.b[1], z)

    def box(self, a: Flat, b: Flat, z: Flat, finish: Finish, *, top: Finish | None = None, front: Finish | None = None,
            upright: bool = False, skip: str = "") -> None:  # fmt: skip
        """A block; ``upright`` turns the grain of its sides, ``skip`` names sides left out by their first letters:
        left, right, back, front, top, under."""
        (a0, a1), (b0, b1), (z0, z1) = self._within(a, b, z)
        if a1 - a0 < 1e-6 or b1 - b0 < 1e-6 or z1 - z0 < 1e-6:
            return
        lay = (float(self.dice.uniform(0.0, 3.0)), float(self.dice.uniform(0.0, 3.0)))
        wide, deep, high = a1 - a0, b1 - b0, z1 - z0
        ahead = front or finish
        put = self.pile.quad
        rise = self.way(0.0, 0.0, high)
        sides = (
            ("f", (a1, b1), (-wide, 0.0), (a0, b1), (wide, 0.0), ahead),
            ("b", (a0, b0), (wide, 0.0), (a1, b0), (-wide, 0.0), finish),
            ("l", (a0, b1), (0.0, -deep), (a0, b0), (0.0, deep), finish),
            ("r", (a1, b0), (0.0, deep), (a1, b1), (0.0, -deep), finish),
        )
        for name, start, run, other, back, look in sides:
            if name in skip:
                continue
            if upright:
                put(self.at(*other, z0), rise, self.way(*back), look, lay)
            else:
                own = (0.0, 0.0) if front is not None and name == "f" else lay
                put(self.at(*start, z0), self.way(*run), rise, look, own)
        if "t" not in skip:
            if wide >= deep:
                put(self.at(a0, b0, z1), self.way(wide, 0.0), self.way(0.0, deep), top or finish, lay)
            else:
                put(self.at(a1, b0, z1), self.way(0.0, deep), self.way(-wide, 0.0), top or finish, lay)
        if "u" not in skip and (z0 > 1e-6 or self.thing.base_m > 0.0):
            put(self.at(a0, b0, z0), self.way(0.0, deep), self.way(wide, 0.0), finish, lay)

    def _within(self, a: Flat, b: Flat, z: Flat) -> tuple[Flat, Flat, Flat]:
        """Spans cut to the thing's own block."""
        return _cut(a, self.w), _cut(b, self.d), _cut(z, self.h)

    def soft(self, a: Flat, b: Flat, z: Flat, finish: Finish, ease: float = 0.04) -> None:
        """A cushion: a block whose upper edges and upright corners are eased."""
        a, b, z = self._within(a, b, z)
        (a0, a1), (b0, b1), (z0, z1) = a, b, z
        if min(a1 - a0, b1 - b0, z1 - z0) < 1e-3:
            return
        e = min(ease, 0.4 * (a1 - a0), 0.4 * (b1 - b0), 0.8 * (z1 - z0))
        low = self._eased(a, b, e, z0)
        mid = self._eased(a, b, e, z1 - e)
        near = (a0 + 0.45 * e, a1 - 0.45 * e), (b0 + 0.45 * e, b1 - 0.45 * e)
        bent = self._eased(*near, e, z1 - 0.3 * e)
        high = self._eased((a0 + e, a1 - e), (b0 + e, b1 - e), 0.7 * e, z1)
        for lower, upper in ((low, mid), (mid, bent), (bent, high)):
            for (p, q), (r, s) in zip(pairwise([*lower, lower[0]]), pairwise([*upper, upper[0]]), strict=True):
                self.pile.facet((p, q, s, r), finish)
        self.pile.facet(high, finish)

    def _eased(self, a: Flat, b: Flat, e: float, z: float) -> list[Vector]:
        """The eight corners of a rectangle with its own eased by e, or by 0.4 of a side that is too short for that."""
        (a0, a1), (b0, b1) = a, b
        e = min(e, 0.4 * (a1 - a0), 0.4 * (b1 - b0))
        ring = ((a0 + e, b0), (a1 - e, b0), (a1, b0 + e), (a1, b1 - e), (a1 - e, b1), (a0 + e, b1), (a0, b1 - e),
                (a0, b0 + e))  # fmt: skip
        return [self.at(p, q, z) for p, q in ring]

    def turned(self, a: float, b: float, profile: Sequence[Flat], finish: Finish, sides: int = 12) -> None:
        """A body turned about an upright axis at (a, b); (radius, height over the base) upward."""
        x, y, _ = self.at(a, b, 0.0)
        most = min(a, self.w - a, b, self.d - b)
        self.pile.lathe(x, y, [(min(r, most), self.base + z) for r, z in profile], finish, sides)

    def legs(self, size: float, high: float, finish: Finish, inset: float = 0.0) -> None:
        """Four square legs at the corners."""
        for a in (inset, self.w - size - inset):
            for b in (inset, self.d - size - inset):
                self.box((a, a + size), (b, b + size), (0.0, high), finish, upright=True, skip="tu")


def _cut(span: Flat, most: float) -> Flat:
    return max(0.0, span[0]), min(most, span[1])


def stand_of(pile: Pile, thing: Thing, solid: Solid, room: Room, others: Sequence[Thing],
             dice: np.random.Generator, family: int) -> Stand:  # fmt: skip
    """The frame of a thing: its least rectangle, turned so that its back is where such a thing has its back."""
    rect = shapely.minimum_rotated_rectangle(solid.polygon)
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(rect).exterior)[:-1].tolist()
    rim = room.polygon.exterior
    sides = []
    for k in range(4):
        p, q = ring[k], ring[(k + 1) % 4]
        length = math.dist(p, q)
        gap = (
            sum(rim.distance(Point(p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1]))) for s in (0.25, 0.5, 0.75)) / 3
        )
        sides.append((k, length, gap))
    lengths = [length for _, length, _ in sides]
    middle = solid.polygon.centroid
    score = []
    for k, length, gap in sides:
        value = gap
        if thing.kind in ("bed", "cot"):
            value += 5.0 if length > min(lengths) + 0.1 else 0.0
        elif thing.kind in ("sofa", "wardrobe", "shelf", "sideboard", "desk", "bench", "counter", "wall-cupboard",
                            "mirror", "piano", "basin"):  # fmt: skip
            value += 5.0 if length < max(lengths) - 0.1 else 0.0
        elif thing.kind in ("chair", "armchair"):
            value = _away(ring[k], ring[(k + 1) % 4], thing, others, middle, gap)
        score.append((value, k))
    back = min(score)[1]
    p, q = ring[back], ring[(back + 1) % 4]
    length = math.dist(p, q)
    a = ((q[0] - p[0]) / length, (q[1] - p[1]) / length)
    b = (-a[1], a[0])
    deep = math.dist(q, ring[(back + 2) % 4])
    return Stand(pile, thing, (p[0], p[1]), a, b, length, deep, solid.base, solid.top, dice, room, others, family)


def _away(p: list[float], q: list[float], thing: Thing, others: Sequence[Thing], middle: Point, gap: float) -> float:
    """How badly a side suits as the back of a seat: backs turn away from the nearest table."""
    tables = [o for o in others if o.kind in ("table", "desk", "island", "counter", "piano") and o.height_m > 0.3
              and o.space == thing.space]  # fmt: skip
    best = None
    for table in tables:
        ring = LineString((*table.outline, table.outline[0]))
        off = ring.distance(middle)
        if off < (0.75 if thing.kind == "chair" else 0.0) and (best is None or off < best[0]):
            near = ring.interpolate(ring.project(middle))
            best = (off, near)
    if best is None:
        return gap
    mx, my = (p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0
    return -math.hypot(mx - best[1].x, my - best[1].y)


__all__ = ["Stand", "stand_of"]
