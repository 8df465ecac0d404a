"""Sight in the plane: what is seen from a point among walls, and how near they are.

A *wall* is a segment (ax, ay, bx, by). The walls of a region are its closed rings, in any order and sense.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from scoring.floor.sweep import Array, sweep


def visibility(edges: Array, x: float, y: float, reach_m: float = math.inf) -> Array:
    """The polygon that is seen from (x, y): shape (m, 2), counter-clockwise, not closed [m].

    ``edges`` has shape (n, 4), one wall (ax, ay, bx, by) a row in either sense; walls may touch but not cross,
    and enclose the point unless ``reach_m`` is finite. Raises ValueError for a point on a wall, for values
    that are not finite, and for walls that leave an unlimited view open.
    """
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("a point needs finite coordinates")
    if not reach_m > 0.0:
        raise ValueError("the reach has to be more than nothing")
    polygon, fault = sweep(np.ascontiguousarray(edges, dtype=np.float64), float(x), float(y), float(reach_m))
    if fault == 1:
        raise ValueError(f"the point ({x:.6g}, {y:.6g}) lies on a wall")
    if fault == 2:
        raise ValueError("the walls do not close round the point and the reach is unlimited")
    found: Array = polygon
    return found


@njit(nogil=True, cache=True)
def inside(edges: Array, x: float, y: float) -> bool:
    """Whether (x, y) lies inside the rings whose walls are given, by counting crossings (even-odd)."""
    odd = False
    for i in range(edges.shape[0]):
        ay = edges[i, 1]
        by = edges[i, 3]
        if (ay > y) != (by > y) and x < edges[i, 0] + (y - ay) / (by - ay) * (edges[i, 2] - edges[i, 0]):
            odd = not odd
    return odd


@njit(nogil=True, cache=True)
def nearest(edges: Array, x: float, y: float) -> tuple[float, float, float]:
    """Distance from (x, y) to the nearest wall and the point of it that is nearest [m]; inf without walls."""
    best = np.inf
    bx = x
    by = y
    for i in range(edges.shape[0]):
        dx = edges[i, 2] - edges[i, 0]
        dy = edges[i, 3] - edges[i, 1]
        rx = x - edges[i, 0]
        ry = y - edges[i, 1]
        long2 = dx * dx + dy * dy
        t = 0.0
        if long2 > 0.0:
            t = min(1.0, max(0.0, (rx * dx + ry * dy) / long2))
        gap2 = (rx - t * dx) ** 2 + (ry - t * dy) ** 2
        if gap2 < best:
            best = gap2
            bx = edges[i, 0] + t * dx
            by = edges[i, 1] + t * dy
    return math.sqrt(best), bx, by


__all__ = ["Array", "inside", "nearest", "visibility"]
