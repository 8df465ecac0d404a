"""The kernel of sight: the exact visibility polygon of a point among walls that do not cross.

Alphabet: *wall* - a segment (ax, ay, bx, by); *event* - the direction of a wall's end as seen from the
point; *interval* - what lies between two neighbouring events. Within an interval the nearest wall is always
the same one, so a single ray in its middle names it, and the two ends of the interval cut that wall's line
exactly::

              wall
        ───────●━━━━━━━━●──────        each wall visits only the intervals inside its own span,
                \\  ·   /               so the work is walls times span, without any search tree
                 \\ · /
                   x                   the sweep starts at the nearest wall end, never at a fixed
                                       direction: turning the plan turns the polygon with it

A limited reach cuts the polygon at the exact points where walls meet the circle. An arc becomes short chords
between those points; its inner corners are set out just far enough that the area equals the true sector's.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]

ON_WALL_M = 1e-7
"""A point nearer than this to a wall sees no defined side of it, and is refused."""

ARC_STEP_RAD = math.radians(2.0)
"""Longest piece of an arc."""

CROWDED = 24
"""Directions in one box from which on sorting them by comparison is the faster way."""


@njit(nogil=True, cache=True)
def _turn(x: float, y: float) -> float:
    """A number in [0, 4) that grows with the direction of (x, y), counter-clockwise from east."""
    p = x / (abs(x) + abs(y))
    return 1.0 - p if y >= 0.0 else 3.0 + p


@njit(nogil=True, cache=True)
def in_turn(key: Array) -> NDArray[np.int64]:
    """The indices of keys in [0, 4] in growing order, equal ones in their own: (n,).

    Directions spread over as many boxes as there are keys, so that each box holds a few and is put in order by
    itself: sorting them by comparison alone took most of a sweep's time. Where they crowd, it is done after all.
    """
    n = key.shape[0]
    start = np.zeros(n + 1, np.int64)
    box = np.empty(n, np.int64)
    for i in range(n):
        k = min(n - 1, int(key[i] * (0.25 * n)))
        box[i] = k
        start[k + 1] += 1
    most = 0
    for k in range(n):
        most = max(most, start[k + 1])
        start[k + 1] += start[k]
    if most > CROWDED:
        return np.argsort(key, kind="mergesort")
    order = np.empty(n, np.int64)
    filled = start.copy()
    for i in range(n):
        k = box[i]
        at = filled[k]
        filled[k] += 1
        while at > start[k] and key[order[at - 1]] > key[i]:
            order[at] = order[at - 1]
            at -= 1
        order[at] = i
    return order


@njit(nogil=True, cache=True)
def _put(out: Array, m: int, x: float, y: float) -> int:
    """Add a corner unless it repeats the last one; the new count."""
    if m > 0 and abs(out[m - 1, 0] - x) < 1e-12 and abs(out[m - 1, 1] - y) < 1e-12:
        return m
    out[m, 0] = x
    out[m, 1] = y
    return m + 1


@njit(nogil=True, cache=True)
def _put_arc(out: Array, m: int, ux: float, uy: float, angle: float, reach: float) -> int:
    """Add an arc of that angle [rad] from direction (ux, uy), with the sector's exact area; the new count."""
    m = _put(out, m, reach * ux, reach * uy)
    if angle < 1e-12:
        return m
    n = max(2, math.ceil(angle / ARC_STEP_RAD))
    step = angle / n
    # n triangles; both ends at the reach, the corners between at rho: (n-2) rho^2 + 2 reach rho = reach^2 angle / sin
    full = angle / math.sin(step)
    rho = reach * full / 2.0 if n == 2 else reach * (math.sqrt(1.0 + (n - 2) * full) - 1.0) / (n - 2)
    for i in range(1, n + 1):
        c = math.cos(i * step)
        s = math.sin(i * step)
        r = rho if i < n else reach
        m = _put(out, m, r * (ux * c - uy * s), r * (ux * s + uy * c))
    return m


@njit(nogil=True, cache=True)
def _angle(ux: float, uy: float, vx: float, vy: float) -> float:
    """Angle from u counter-clockwise to v [rad], for two directions less than half a turn apart."""
    return max(0.0, math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))


@njit(nogil=True, cache=True)
def sweep(edges: Array, x: float, y: float, reach: float) -> tuple[Any, int]:
    """The polygon and 0, or an empty one and 1 (point on a wall) or 2 (view left open)."""
    n = edges.shape[0]
    nothing = np.empty((0, 2))
    px = np.empty(2 * n + 1)
    py = np.empty(2 * n + 1)
    key = np.empty(2 * n + 1)
    area = np.empty(n)
    walls = 0
    first2 = np.inf
    first_x = 1.0
    first_y = 0.0
    for i in range(n):
        ax = edges[i, 0] - x
        ay = edges[i, 1] - y
        bx = edges[i, 2] - x
        by = edges[i, 3] - y
        dx = bx - ax
        dy = by - ay
        long2 = dx * dx + dy * dy
        a2 = ax * ax + ay * ay
        b2 = bx * bx + by * by
        if a2 < first2:
            first2 = a2
            first_x = ax
            first_y = ay
        if b2 < first2:
            first2 = b2
            first_x = bx
            first_y = by
        t = 0.0
        if long2 > 0.0:
            t = min(1.0, max(0.0, -(ax * dx + ay * dy) / long2))
        gap2 = (ax + t * dx) ** 2 + (ay + t * dy) ** 2
        if gap2 < ON_WALL_M * ON_WALL_M:
            return nothing, 1
        if gap2 >= reach * reach:
            continue
        cross = ax * by - ay * bx
        if abs(cross) <= 1e-13 * math.sqrt(a2 * b2):
            continue  # seen edge-on: it hides nothing
        if cross < 0.0:
            ax, ay, bx, by = bx, by, ax, ay
            cross = -cross
        px[2 * walls] = ax
        py[2 * walls] = ay
        px[2 * walls + 1] = bx
        py[2 * walls + 1] = by
        key[2 * walls] = _turn(ax, ay)
        key[2 * walls + 1] = _turn(bx, by)
        area[walls] = cross
        walls += 1
    ends = 2 * walls + 1
    px[ends - 1] = first_x
    py[ends - 1] = first_y
    key[ends - 1] = _turn(first_x, first_y)

    order = in_turn(key[:ends])
    rank = np.empty(ends, np.int64)
    ex = np.empty(ends)
    ey = np.empty(ends)
    ekey = np.empty(ends)
    events = 0
    last = -1.0
    for j in order:
        if events == 0 or key[j] != last:
            last = key[j]
            size = math.sqrt(px[j] * px[j] + py[j] * py[j])
            ex[events] = px[j] / size
            ey[events] = py[j] / size
            ekey[events] = last
            events += 1
        rank[j] = events - 1
    start = rank[ends - 1]

    mx = np.empty(events)
    my = np.empty(events)
    near = np.zeros(events)
    wall = np.full(events, -1, np.int64)
    for k in range(events):
        mx[k] = ex[k] + ex[(k + 1) % events]
        my[k] = ey[k] + ey[(k + 1) % events]
    for j in range(walls):
        # one over the distance along the middle ray, times that ray's length, which is the same for all walls
        gx = (px[2 * j + 1] - px[2 * j]) / area[j]
        gy = (py[2 * j + 1] - py[2 * j]) / area[j]
        k = rank[2 * j]
        stop = rank[2 * j + 1]
        while k != stop:
            w = mx[k] * gy - my[k] * gx
            if w > near[k]:
                near[k] = w
                wall[k] = j
            k += 1
            if k == events:
                k = 0

    out = np.empty((14 * events + 200, 2))
    m = 0
    arc = -1.0
    arc_x = 0.0
    arc_y = 0.0
    i = 0
    while i < events:
        k = (start + i) % events
        j = wall[k]
        first = i
        i += 1
        while i < events and wall[(start + i) % events] == j:
            i += 1
        ux = ex[k]
        uy = ey[k]
        vx = ex[(start + i) % events]
        vy = ey[(start + i) % events]
        if j < 0:
            if reach == np.inf:
                return nothing, 2
            if arc < 0.0:
                arc = 0.0
                arc_x = ux
                arc_y = uy
            for l in range(first, i):
                k = (start + l) % events
                v = (k + 1) % events
                turn = math.atan2(ex[k] * ey[v] - ey[k] * ex[v], ex[k] * ex[v] + ey[k] * ey[v])
                wide = ekey[v] - ekey[k] + (4.0 if v <= k else 0.0) > 1.0
                arc += turn + 2.0 * math.pi if wide and turn <= 0.0 else max(0.0, turn)
            continue
        dx = px[2 * j + 1] - px[2 * j]
        dy = py[2 * j + 1] - py[2 * j]
        tu = area[j] / (ux * dy - uy * dx)
        tv = area[j] / (vx * dy - vy * dx)
        qux = ux * tu
        quy = uy * tu
        qvx = vx * tv
        qvy = vy * tv
        if reach == np.inf or (tu <= reach and tv <= reach):
            if arc >= 0.0:
                m = _put_arc(out, m, arc_x, arc_y, arc, reach)
                arc = -1.0
            m = _put(out, m, qux, quy)
            m = _put(out, m, qvx, qvy)
            continue
        size = math.sqrt(dx * dx + dy * dy)
        dx /= size
        dy /= size
        off = area[j] / size
        half = math.sqrt(max(0.0, reach * reach - off * off))
        su = qux * dx + quy * dy
        sv = qvx * dx + qvy * dy
        if off >= reach or su >= half or sv <= -half:  # the whole run lies beyond the circle
            if arc < 0.0:
                arc = 0.0
                arc_x = ux
                arc_y = uy
            arc += _angle(ux, uy, vx, vy)
            continue
        fx = off * dy
        fy = -off * dx
        cx = ux
        cy = uy
        if su < -half:  # an arc, then the wall from where it enters the circle
            cx = (fx - half * dx) / reach
            cy = (fy - half * dy) / reach
            if arc < 0.0:
                arc = 0.0
                arc_x = ux
                arc_y = uy
            arc += _angle(ux, uy, cx, cy)
            qux = cx * reach
            quy = cy * reach
        if arc >= 0.0:
            m = _put_arc(out, m, arc_x, arc_y, arc, reach)
            arc = -1.0
        m = _put(out, m, qux, quy)
        if sv > half:  # the wall leaves the circle: an arc begins
            arc_x = (fx + half * dx) / reach
            arc_y = (fy + half * dy) / reach
            m = _put(out, m, arc_x * reach, arc_y * reach)
            arc = _angle(arc_x, arc_y, vx, vy)
        else:
            m = _put(out, m, qvx, qvy)
    if arc >= 0.0:
        m = _put_arc(out, m, arc_x, arc_y, arc, reach)
    if m > 1 and abs(out[0, 0] - out[m - 1, 0]) < 1e-12 and abs(out[0, 1] - out[m - 1, 1]) < 1e-12:
        m -= 1
    found = np.empty((m, 2))
    for k in range(m):
        found[k, 0] = out[k, 0] + x
        found[k, 1] = out[k, 1] + y
    return found, 0


__all__ = ["ARC_STEP_RAD", "ON_WALL_M", "Array", "in_turn", "sweep"]
