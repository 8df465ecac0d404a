"""A roof over the highest level: hipped when the outline is close to a rectangle, else a flat one with a rim."""

from __future__ import annotations

import math
from typing import Any

import shapely

from scoring.frame.decor import WOODWORK
from scoring.frame.finishes import GRAVEL, ROOFING, Finish
from scoring.frame.solids import Pile, Vector

EAVES_M = 0.4
PITCH_DEG = 32.0
RECTANGULAR_SHARE = 0.8
"""Part of its least rectangle that an outline has to fill for a hipped roof."""


def put_roof(pile: Pile, outline: Any, top: float, seed: int) -> None:
    """Cover an outline from the height where its walls end [m]."""
    for part in shapely.get_parts(outline):
        rectangle = shapely.minimum_rotated_rectangle(part)
        if part.area > RECTANGULAR_SHARE * rectangle.area and part.area > 12.0:
            _hipped(pile, rectangle, top, seed)
        else:
            slab = shapely.buffer(part, 0.25, join_style="mitre")
            pile.prism(slab, top, top + 0.22, WOODWORK, Finish(GRAVEL, (0.34, 0.33, 0.31), strength=0.5, seed=seed))


def _hipped(pile: Pile, rectangle: Any, top: float, seed: int) -> None:
    """Four slopes to a ridge along the longer axis, over boarded eaves."""
    wide = shapely.buffer(rectangle, EAVES_M, join_style="mitre")
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(wide).exterior)[:-1].tolist()
    if math.dist(ring[0], ring[1]) < math.dist(ring[1], ring[2]):
        ring = ring[1:] + ring[:1]
    a, b, c, d = ring
    long, short = math.dist(a, b), math.dist(b, c)
    base = top + 0.12
    rise = 0.5 * short * math.tan(math.radians(PITCH_DEG))
    inset = 0.5 * short / long

    def lifted(p: list[float], z: float) -> Vector:
        return (p[0], p[1], z)

    def along(p: list[float], q: list[float], share: float) -> list[float]:
        return [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])]

    left, right = along(a, d, 0.5), along(b, c, 0.5)
    one = lifted(along(left, right, inset), base + rise)
    two = lifted(along(left, right, 1.0 - inset), base + rise)
    tiles = Finish(ROOFING, (0.25, 0.15, 0.12) if seed % 2 else (0.17, 0.17, 0.18), seed=seed)
    low = [lifted(p, base) for p in (a, b, c, d)]
    pile.facet((low[0], low[1], two, one), tiles)
    pile.facet((low[2], low[3], one, two), tiles)
    pile.facet((low[1], low[2], two), tiles)
    pile.facet((low[3], low[0], one), tiles)
    pile.prism(wide, top, base, WOODWORK)


__all__ = ["EAVES_M", "PITCH_DEG", "put_roof"]
