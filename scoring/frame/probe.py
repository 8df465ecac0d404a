"""Points of a scene as the headings of a spin see them: what lies along a ray, and who else sees it.

Panes are looked through; a mirror ends a ray, because what is in it has no place of its own. Points of the sky lie
``FAR_M`` away.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS, MIRROR
from scoring.frame.trace import first_hit

Rows = NDArray[Any]

FAR_M = 1e4
PANES_MAX = 12
SAME_M = 0.02
"""A heading sees a point when the first thing on the way lies within this much of it, and 1 % of its distance."""
MIRRORED = -2


@njit(nogil=True, cache=True)
def _first_solid(
    scene: Any, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, bit: int
) -> tuple[int, float]:
    """First face behind all panes and its distance; -1 for sky, ``MIRRORED`` for a mirror."""
    way = 0.0
    for _ in range(PANES_MAX):
        face, t = first_hit(scene, ox + way * dx, oy + way * dy, oz + way * dz, dx, dy, dz, bit)
        if face < 0:
            return -1, FAR_M
        way += t
        optic = int(scene.finishes[scene.finish[face], 11])
        if optic == MIRROR:
            return MIRRORED, way
        if optic != GLASS:
            return face, way
    return -1, FAR_M


@njit(nogil=True, cache=True)
def _hits(scene: Any, origins: Rows, directions: Rows, bit: int, faces: Rows, distances: Rows) -> None:
    for i in range(directions.shape[0]):
        faces[i], distances[i] = _first_solid(
            scene, origins[i, 0], origins[i, 1], origins[i, 2],
            directions[i, 0], directions[i, 1], directions[i, 2], bit,
        )  # fmt: skip


@njit(nogil=True, cache=True)
def _seen(scene: Any, ox: float, oy: float, oz: float, points: Rows, bit: int, out: Rows) -> None:
    for i in range(points.shape[0]):
        dx, dy, dz = points[i, 0] - ox, points[i, 1] - oy, points[i, 2] - oz
        away = math.sqrt(dx * dx + dy * dy + dz * dz)
        face, t = _first_solid(scene, ox, oy, oz, dx / away, dy / away, dz / away, bit)
        out[i] = face != MIRRORED and (abs(t - away) <= SAME_M + 0.01 * away or (face == -1 and away > 0.5 * FAR_M))


def hits_along(scene: Any, origins_m: Rows, directions: Rows, shot_bit: int) -> tuple[Rows, Rows]:
    """First things behind panes along unit rays (n, 3): faces (n,), distances (n,) [m].

    A face is -1 for sky, at ``FAR_M``, and ``MIRRORED`` for a mirror.
    """
    rays = np.ascontiguousarray(directions, dtype=np.float64)
    starts = np.array(np.broadcast_to(origins_m, rays.shape), dtype=np.float64, order="C")
    faces, distances = np.empty(len(rays), np.int32), np.empty(len(rays))
    _hits(scene, starts, rays, shot_bit, faces, distances)
    return faces, distances


def seen_from(scene: Any, origin_m: Rows, points_m: Rows, shot_bit: int) -> NDArray[np.bool_]:
    """Which world points (n, 3) a lens at that place sees, (n,): nothing stands before them, and they are there."""
    out = np.empty(len(points_m), np.bool_)
    x, y, z = (float(value) for value in origin_m)
    _seen(scene, x, y, z, np.ascontiguousarray(points_m, dtype=np.float64), shot_bit, out)
    return out


__all__ = ["FAR_M", "MIRRORED", "hits_along", "seen_from"]
