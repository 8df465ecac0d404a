"""Which faces may see a window's pane or a lamp at all, found from the bright side: rays go out from it.

A node then samples only what its own face was reached from; what these rays overlook is small, and is left to the
ordinary rays of the node (``gather``).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS, MIRROR
from scoring.frame.kernels import kernel
from scoring.frame.lattice import LIFT_M
from scoring.frame.scene import Scene
from scoring.frame.trace import first_hit

PASSES = (1 << 31) | (1 << 29)
"""Who looks when light is gathered: all that is solid, and panes."""
PANE_SIDE, LAMP_SIDE = 64, 24
"""Rays from each side of a pane and from a lamp's face: these numbers squared."""
TURNS = 6


def reached(scene: Scene, panes: NDArray[np.int32], lamps: NDArray[np.int32]) -> tuple[NDArray[np.int32], ...]:
    """For each face the panes and lamps that reach it: ends (F + 1,) and faces, twice."""
    out: list[NDArray[np.int32]] = []
    for sources, side, both in ((panes, PANE_SIDE, True), (lamps, LAMP_SIDE, False)):
        marks = np.zeros((len(scene.corner), len(sources)), np.bool_)
        for k, face in enumerate(sources.tolist()):
            _mark(scene, face, side, 1.0, k, marks)
            if both:
                _mark(scene, face, side, -1.0, k, marks)
        counts = marks.sum(axis=1)
        out.append(np.concatenate([[0], np.cumsum(counts)]).astype(np.int32))
        out.append(sources[np.nonzero(marks)[1]].astype(np.int32))
    return tuple(out)


@kernel
def _mark(scene: Any, g: int, side: int, sign: float, column: int, marks: Any) -> None:
    """Send rays from all over face g and mark every face that they end on."""
    ux, uy, uz = scene.u[g, 0], scene.u[g, 1], scene.u[g, 2]
    vx, vy, vz = scene.v[g, 0], scene.v[g, 1], scene.v[g, 2]
    nx, ny, nz = sign * scene.normal[g, 0], sign * scene.normal[g, 1], sign * scene.normal[g, 2]
    for k in range(side * side):
        s = scene.size_m[g, 0] * ((0.7548776662 * k) % 1.0)
        t = scene.size_m[g, 1] * ((0.5698402910 * k) % 1.0)
        # Even over solid angle, not by the cosine: what sees the source at a flat angle counts as well.
        up = (k // side + 0.5) / side
        turn = 2.0 * math.pi * (k % side + 0.5 * (k // side % 2)) / side
        flat = math.sqrt(1.0 - up * up)
        c, d = flat * math.cos(turn), flat * math.sin(turn)
        dx, dy, dz = c * ux + d * vx + up * nx, c * uy + d * vy + up * ny, c * uz + d * vz + up * nz
        x = scene.corner[g, 0] + s * ux + t * vx + LIFT_M * nx
        y = scene.corner[g, 1] + s * uy + t * vy + LIFT_M * ny
        z = scene.corner[g, 2] + s * uz + t * vz + LIFT_M * nz
        for _ in range(TURNS):
            f, way = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
            if f < 0:
                break
            x, y, z = x + way * dx, y + way * dy, z + way * dz
            optic = int(scene.finishes[scene.finish[f], 11])
            if optic == GLASS:
                continue
            if optic == MIRROR:
                mx, my, mz = scene.normal[f, 0], scene.normal[f, 1], scene.normal[f, 2]
                twice = 2.0 * (dx * mx + dy * my + dz * mz)
                dx, dy, dz = dx - twice * mx, dy - twice * my, dz - twice * mz
                continue
            marks[f, column] = True
            break


__all__ = ["PASSES", "reached"]
