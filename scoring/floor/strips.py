"""Clear width of a sight line: twice the distance from its middle line to the nearest wall."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from scoring.floor.sight import Array, inside

CLEAR_M = 1e-9
"""A line nearer than this to a wall touches it: it is blocked."""


@njit(nogil=True, cache=True)
def _point_gap2(px: float, py: float, ax: float, ay: float, dx: float, dy: float) -> tuple[float, float]:
    """Squared distance from a point to the segment a + t d, and the t of its nearest point."""
    long2 = dx * dx + dy * dy
    t = 0.0
    if long2 > 0.0:
        t = min(1.0, max(0.0, ((px - ax) * dx + (py - ay) * dy) / long2))
    return (px - ax - t * dx) ** 2 + (py - ay - t * dy) ** 2, t


@njit(nogil=True, cache=True)
def strip(edges: Array, ax: float, ay: float, bx: float, by: float) -> tuple[float, float, float]:
    """Clear width from a to b among walls that close round both [m], and the point that limits it.

    0 and the first crossing when the line meets a wall. ``edges`` are closed rings, shape (n, 4). Where the two
    points lie is not checked: see ``clear``.
    """
    dx = bx - ax
    dy = by - ay
    best2 = np.inf
    near_x = ax
    near_y = ay
    hit = np.inf
    lo_x = min(ax, bx)
    hi_x = max(ax, bx)
    lo_y = min(ay, by)
    hi_y = max(ay, by)
    for i in range(edges.shape[0]):
        px = edges[i, 0]
        py = edges[i, 1]
        qx = edges[i, 2]
        qy = edges[i, 3]
        gap_x = max(0.0, max(min(px, qx) - hi_x, lo_x - max(px, qx)))
        gap_y = max(0.0, max(min(py, qy) - hi_y, lo_y - max(py, qy)))
        if gap_x * gap_x + gap_y * gap_y > best2:
            continue
        ex = qx - px
        ey = qy - py
        side_p = dx * (py - ay) - dy * (px - ax)
        side_q = dx * (qy - ay) - dy * (qx - ax)
        side_a = ex * (ay - py) - ey * (ax - px)
        side_b = ex * (by - py) - ey * (bx - px)
        if (side_p > 0.0) != (side_q > 0.0) and (side_a > 0.0) != (side_b > 0.0):
            t = side_a / (side_a - side_b)
            if t < hit:
                hit = t
                best2 = 0.0
                near_x = ax + t * dx
                near_y = ay + t * dy
            continue
        if hit < np.inf:
            continue
        gap2, t = _point_gap2(px, py, ax, ay, dx, dy)
        if gap2 < best2:
            best2 = gap2
            near_x = px
            near_y = py
        gap2, t = _point_gap2(ax, ay, px, py, ex, ey)
        if gap2 < best2:
            best2 = gap2
            near_x = px + t * ex
            near_y = py + t * ey
        gap2, t = _point_gap2(bx, by, px, py, ex, ey)
        if gap2 < best2:
            best2 = gap2
            near_x = px + t * ex
            near_y = py + t * ey
    clear = 2.0 * math.sqrt(best2)
    if clear < CLEAR_M:
        clear = 0.0
    return clear, near_x, near_y


@njit(nogil=True, cache=True)
def widest(edges: Array, ax: float, ay: float, bx: float, by: float, error: float, enough: float) -> float:
    """The widest clear strip [m] when both ends may move up to ``error`` across the line, in half steps.

    Stops early once it is ``enough``.
    """
    size = math.hypot(bx - ax, by - ay)
    if size == 0.0:
        return 0.0
    nx = -(by - ay) / size * error
    ny = (bx - ax) / size * error
    best = 0.0
    for i in range(-2, 3):
        sx = ax + 0.5 * i * nx
        sy = ay + 0.5 * i * ny
        if not inside(edges, sx, sy):
            continue
        for j in range(-2, 3):
            tx = bx + 0.5 * j * nx
            ty = by + 0.5 * j * ny
            if not inside(edges, tx, ty):
                continue
            clear, _, _ = strip(edges, sx, sy, tx, ty)
            best = max(best, clear)
            if best >= enough:
                return best
    return best


@njit(nogil=True, cache=True)
def table(edges: Array, at: Array, to: Array, reach: float) -> Array:
    """Clear width between points (n, 2) and points (m, 2) no farther apart than the reach: (n, m) [m], else 0."""
    n = at.shape[0]
    m = to.shape[0]
    clear = np.zeros((n, m))
    there = np.empty(m, np.bool_)
    for j in range(m):
        there[j] = inside(edges, to[j, 0], to[j, 1])
    for i in range(n):
        if not inside(edges, at[i, 0], at[i, 1]):
            continue
        for j in range(m):
            if there[j] and math.hypot(at[i, 0] - to[j, 0], at[i, 1] - to[j, 1]) <= reach:
                width, _, _ = strip(edges, at[i, 0], at[i, 1], to[j, 0], to[j, 1])
                clear[i, j] = width
    return clear


__all__ = ["CLEAR_M", "strip", "table", "widest"]
