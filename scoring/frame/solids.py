"""Faces as they are put together: flat polygons, boxes, prisms, tubes and cushions, each with its finish.

A *face* lies in a plane with its own right-handed frame: a corner, unit vectors u and v in the plane, and the normal
n = u x v that points into the air. Its texture is laid out in metres along u and v. For the tracer a face is cut
into *pieces*: parallelograms and triangles::

      v ▲    piece (parallelogram)          piece (triangle)
        │   ┌──────────┐                    .
        │   │          │ rise               │ `.
        │   └──────────┘                    │   `.
        └──────▶ u  run                     └──────
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from scoring.frame.finishes import Finish

Vector = tuple[float, float, float]
Flat = tuple[float, float]

FLOOR, CEILING, WALL, REVEAL, LEAF, THING, TRIM, GROUND, FAR, PRISM = range(10)
"""What part a face plays: PRISM stands for a thing as the sight engine takes it, and is never in a picture."""

ALL_SHOTS = (1 << 30) - 1
COUNTED = 1 << 30
SOLID = 1 << 31
"""Bits of who sees a face: the shots of a spin, the sight engine, the light (``scene``)."""
REAL = ALL_SHOTS | SOLID

SPECK_M2 = 1e-7


class Piece(NamedTuple):
    """A parallelogram or triangle: corner and two sides [m]."""

    corner: Vector
    run: Vector
    rise: Vector
    triangle: bool


class Face(NamedTuple):
    """A flat face, ready for the scene. ``size_m`` is its extent along u and v, ``lay_m`` the texture's offset."""

    corner: Vector
    u: Vector
    v: Vector
    size_m: Flat
    lay_m: Flat
    finish: Finish
    part: int
    owner: int
    seen: int
    pieces: tuple[Piece, ...]


def plus(a: Vector, b: Vector, by: float = 1.0) -> Vector:
    """a + by * b."""
    return (a[0] + by * b[0], a[1] + by * b[1], a[2] + by * b[2])


def times(a: Vector, by: float) -> Vector:
    """A vector, longer."""
    return (a[0] * by, a[1] * by, a[2] * by)


def dot(a: Vector, b: Vector) -> float:
    """Inner product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vector) -> Vector:
    """A vector of length one."""
    return times(a, 1.0 / math.sqrt(dot(a, a)))


class Pile:
    """Faces being gathered. What is added takes the current part, owner and shots that see it."""

    def __init__(self, *, part: int = THING, owner: int = -1, seen: int = 0xFFFFFFFF) -> None:
        self.faces: list[Face] = []
        self.part = part
        self.owner = owner
        self.seen = seen

    def quad(self, corner: Vector, run: Vector, rise: Vector, finish: Finish, lay_m: Flat = (0.0, 0.0)) -> None:
        """A parallelogram whose normal is run x rise."""
        wide, normal = math.sqrt(dot(run, run)), cross(run, rise)
        if wide < 1e-9 or dot(normal, normal) < 1e-16:
            return
        u = times(run, 1.0 / wide)
        v = cross(unit(normal), u)
        skew, high = dot(rise, u), dot(rise, v)
        low = min(0.0, skew)
        piece = Piece(corner, run, rise, False)
        size = (wide + abs(skew), high)
        self._add(plus(corner, u, low), u, v, size, (lay_m[0] + low, lay_m[1]), finish, (piece,))

    def triangle(self, a: Vector, b: Vector, c: Vector, finish: Finish) -> None:
        """A triangle whose normal is (b - a) x (c - a)."""
        run, rise = plus(b, a, -1.0), plus(c, a, -1.0)
        normal = cross(run, rise)
        if dot(normal, normal) < 1e-18:
            return
        u = unit(run)
        v = cross(unit(normal), u)
        across = (0.0, math.sqrt(dot(run, run)), dot(rise, u))
        low = min(across)
        size = (max(across) - low, dot(rise, v))
        self._add(plus(a, u, low), u, v, size, (low, 0.0), finish, (Piece(a, run, rise, True),))

    def block(self, corner: Vector, run: Vector, deep: Vector, high: float, finish: Finish, skip: str = "") -> None:
        """An upright block from a lower corner; run x deep is up. ``skip``: left, right, back, front, top, under."""
        up = (0.0, 0.0, high)
        far = plus(plus(corner, run), deep)
        sides = (
            ("f", far, times(run, -1.0), up),
            ("b", corner, run, up),
            ("l", plus(corner, deep), times(deep, -1.0), up),
            ("r", plus(corner, run), deep, up),
            ("t", plus(corner, up), run, deep),
            ("u", corner, deep, run),
        )
        for name, start, one, two in sides:
            if name not in skip:
                self.quad(start, one, two, finish)

    def facet(self, points: Sequence[Vector], finish: Finish) -> None:
        """A convex flat polygon, counter-clockwise as seen from the side that shows."""
        a = points[0]
        normal = (0.0, 0.0, 0.0)
        for b, c in pairwise(points[1:]):
            normal = plus(normal, cross(plus(b, a, -1.0), plus(c, a, -1.0)))
        run = plus(points[1], a, -1.0)
        if dot(run, run) < 1e-12 or dot(normal, normal) < 1e-16:
            return
        u = unit(run)
        v = cross(unit(normal), u)
        flat = [(dot(plus(p, a, -1.0), u), dot(plus(p, a, -1.0), v)) for p in points]
        s0, s1 = min(s for s, _ in flat), max(s for s, _ in flat)
        t0, t1 = min(t for _, t in flat), max(t for _, t in flat)
        pieces = tuple(
            Piece(a, plus(b, a, -1.0), plus(c, a, -1.0), True)
            for b, c in pairwise(points[1:])
            if dot(*(cross(plus(b, a, -1.0), plus(c, a, -1.0)),) * 2) > 1e-18
        )
        self._add(plus(plus(a, u, s0), v, t0), u, v, (s1 - s0, t1 - t0), (s0, t0), finish, pieces)

    def lathe(self, x: float, y: float, profile: Sequence[Flat], finish: Finish, sides: int = 12) -> None:
        """A body turned about an upright axis: (radius, height) pairs upward for an outside, downward for an inside.

        A radius of 0 closes it.
        """
        turn = [(math.cos(2.0 * math.pi * k / sides), math.sin(2.0 * math.pi * k / sides)) for k in range(sides)]
        for (r0, z0), (r1, z1) in pairwise(profile):
            for k in range(sides):
                (c0, s0), (c1, s1) = turn[k], turn[(k + 1) % sides]
                low = [(x + r0 * c0, y + r0 * s0, z0), (x + r0 * c1, y + r0 * s1, z0)]
                high = [(x + r1 * c1, y + r1 * s1, z1), (x + r1 * c0, y + r1 * s0, z1)]
                if r0 < 1e-9:
                    low = low[:1]
                if r1 < 1e-9:
                    high = high[:1]
                if len(low) + len(high) > 2:
                    ring = low + high
                    self.facet(ring if len(low) == 2 else [ring[1], ring[2], ring[0]], finish)

    def flat(self, origin: Vector, u: Vector, v: Vector, region: Any, finish: Finish) -> None:
        """A polygon, or several as faces of their own, drawn in the frame (origin, u, v): its texture's zero."""
        for shape in shapely.get_parts(region):
            if shape.geom_type != "Polygon" or shape.area < SPECK_M2:
                continue
            x0, y0, x1, y1 = shape.bounds
            corner = plus(plus(origin, u, x0), v, y0)
            pieces = tuple(_pieces(origin, u, v, shape))
            self._add(corner, u, v, (x1 - x0, y1 - y0), (x0, y0), finish, pieces)

    def level(self, region: Any, z: float, finish: Finish, *, up: bool = True) -> None:
        """A horizontal polygon, seen from above or from below, its texture laid along x and y."""
        if up:
            self.flat((0.0, 0.0, z), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), region, finish)
        else:
            turned = shapely.transform(region, lambda at: at[:, ::-1])
            self.flat((0.0, 0.0, z), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), turned, finish)

    def prism(self, polygon: Any, base: float, top: float, finish: Finish, cap: Finish | None = None,
              *, bottom: bool = True) -> None:  # fmt: skip
        """An upright block over a polygon: sides, top, and the underside when it can be seen."""
        for shape in shapely.get_parts(polygon):
            if shape.geom_type != "Polygon" or shape.area < SPECK_M2:
                continue
            turned = orient(shape)
            for ring in (turned.exterior, *turned.interiors):
                at = shapely.get_coordinates(ring)
                along = 0.0
                for (ax, ay), (bx, by) in pairwise(at.tolist()):
                    run = (bx - ax, by - ay, 0.0)
                    self.quad((ax, ay, base), run, (0.0, 0.0, top - base), finish, (along, base))
                    along += math.hypot(bx - ax, by - ay)
            self.level(shape, top, cap or finish)
            if bottom:
                self.level(shape, base, finish, up=False)

    def _add(self, corner: Vector, u: Vector, v: Vector, size: Flat, lay: Flat, finish: Finish,
             pieces: tuple[Piece, ...]) -> None:  # fmt: skip
        self.faces.append(Face(corner, u, v, size, lay, finish, self.part, self.owner, self.seen, pieces))


def _pieces(origin: Vector, u: Vector, v: Vector, shape: Any) -> Iterable[Piece]:
    """A polygon of the plane as one parallelogram when it is one, else as triangles."""
    ring = shapely.get_coordinates(shape.exterior)[:-1].tolist()
    if len(ring) == 4 and not shape.interiors:
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = ring
        if math.hypot(ax + cx - bx - dx, ay + cy - by - dy) < 1e-9:
            yield Piece(
                _lift(origin, u, v, ring[0]), _along(u, v, ring[0], ring[1]), _along(u, v, ring[0], ring[3]), False
            )
            return
    for part in shapely.get_parts(shapely.constrained_delaunay_triangles(shape)):
        a, b, c = shapely.get_coordinates(part.exterior)[:3].tolist()
        yield Piece(_lift(origin, u, v, a), _along(u, v, a, b), _along(u, v, a, c), True)


def _lift(origin: Vector, u: Vector, v: Vector, at: Sequence[float]) -> Vector:
    return plus(plus(origin, u, at[0]), v, at[1])


def _along(u: Vector, v: Vector, a: Sequence[float], b: Sequence[float]) -> Vector:
    return plus(times(u, b[0] - a[0]), v, b[1] - a[1])


def box_of(x0: float, y0: float, x1: float, y1: float) -> Polygon:
    """A rectangle of the drawing."""
    return Polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


__all__ = [
    "ALL_SHOTS", "CEILING", "COUNTED", "FAR", "FLOOR", "GROUND", "LEAF", "PRISM", "REAL", "REVEAL", "SOLID", "THING",
    "TRIM", "WALL", "Face", "Flat", "Piece", "Pile", "Vector", "box_of", "cross", "dot", "plus", "times", "unit",
]  # fmt: skip
