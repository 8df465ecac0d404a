"""Where the sun falls: on every face that looks toward it, the share of its disc that each of many nodes sees.

::

        ○ ○ ○ ○ ○ ○        one ray to the middle of the sun from every node;
        ○ ○ ◐ ● ● ●        where neighbours differ, rays to points spread over the disc, from points spread over
        ○ ◐ ● ● ● ●        the cells round the node: edges are as soft as half a degree makes them, and have no steps

Shares hold what panes on the way let through.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS
from scoring.frame.kernels import kernel, woven
from scoring.frame.lattice import LIFT_M, Lattice, Rows, lit_faces, open_floors, sample_at
from scoring.frame.portals import PASSES
from scoring.frame.scene import Scene
from scoring.frame.solids import FAR, GROUND, WALL
from scoring.frame.trace import first_hit

SPACING_M = 0.02
_SPACING_OUTSIDE_M = 0.12
_SPACING_GROUND_M = 0.2
_SPACING_OPEN_FLOOR_M = 0.06
_SPACING_FAR_M = 0.7
MOST_ACROSS = 360
SPREAD = 5
"""Rays from an edge node: SPREAD squared."""
LEAST_COS = 0.01


class SunShare(NamedTuple):
    """The sun's nodes, laid out as in ``Lit``."""

    start: NDArray[np.int64]
    across: NDArray[np.int32]
    along: NDArray[np.int32]
    share: NDArray[np.float32]


def no_sun(scene: Scene) -> SunShare:
    """Nothing that the sun reaches: overcast, or night."""
    ones = np.ones(len(scene.corner), np.int32)
    return SunShare(np.full(len(ones), -1, np.int64), ones, ones.copy(), np.zeros(1, np.float32))


def sun_share(scene: Scene, toward: tuple[float, float, float], radius_deg: float) -> SunShare:
    """Follow the sun onto every face of a scene; ``radius_deg`` is that of its disc."""
    live = lit_faces(scene) & (scene.normal @ np.array(toward) > LEAST_COS)
    spacing = np.full(len(live), SPACING_M)
    spacing[(scene.part == WALL) & (scene.owner < 0)] = _SPACING_OUTSIDE_M
    spacing[open_floors(scene)] = _SPACING_OPEN_FLOOR_M
    spacing[scene.part == GROUND] = _SPACING_GROUND_M
    spacing[scene.part == FAR] = _SPACING_FAR_M
    counts = np.ceil(scene.size_m / spacing[:, None]).astype(np.int64) + 1
    across, along = (np.clip(counts[:, k], 2, MOST_ACROSS).astype(np.int32) for k in (0, 1))
    start = np.full(len(live), -1, np.int64)
    parts = [np.zeros(1, np.float32)]
    total = 1
    for f in np.flatnonzero(live):
        coarse, share = (np.empty(int(across[f]) * int(along[f]), np.float32) for _ in range(2))
        _on_face(scene, int(f), across[f], along[f], *toward, math.radians(radius_deg), coarse, share)
        if share.any():
            start[f] = total
            total += len(share)
            parts.append(share)
    return SunShare(start, across, along, np.concatenate(parts))


@kernel
def _on_face(
    scene: Any, f: int, m: int, n: int, dx: float, dy: float, dz: float, radius: float, coarse: Rows, share: Rows
) -> None:
    """Shares on one face into ``share`` (m n,), and those of the sun's middle alone into ``coarse``."""
    wide, high = scene.size_m[f, 0], scene.size_m[f, 1]
    for j in range(n):
        t = sample_at(j, n, high)
        for i in range(m):
            coarse[j * m + i] = _open(scene, f, sample_at(i, m, wide), t, dx, dy, dz)
    # Two directions square to the sun's.
    ax, ay = (1.0, 0.0) if abs(dx) < 0.7 else (0.0, 1.0)
    ex, ey, ez = ay * dz, -ax * dz, ax * dy - ay * dx
    e = math.sqrt(ex * ex + ey * ey + ez * ez)
    ex, ey, ez = ex / e, ey / e, ez / e
    gx, gy, gz = dy * ez - dz * ey, dz * ex - dx * ez, dx * ey - dy * ex
    ds, dt = wide / (m - 1), high / (n - 1)
    for j in range(n):
        for i in range(m):
            here = coarse[j * m + i]
            mixed = False
            for b in range(max(0, j - 1), min(n, j + 2)):
                for a in range(max(0, i - 1), min(m, i + 2)):
                    mixed = mixed or coarse[b * m + a] != here
            if not mixed:
                share[j * m + i] = here
                continue
            total = 0.0
            s0, t0 = sample_at(i, m, wide), sample_at(j, n, high)
            for b in range(SPREAD):
                for a in range(SPREAD):
                    index = SPREAD * b + a + 0.5
                    r = radius * math.sqrt(index / (SPREAD * SPREAD))
                    turn = 2.399963229728653 * index
                    c, s = r * math.cos(turn), r * math.sin(turn)
                    p = min(max(s0 + ds * _tent((a + 0.5) / SPREAD), 0.0), wide)
                    q = min(max(t0 + dt * _tent((b + 0.5) / SPREAD), 0.0), high)
                    total += _open(scene, f, p, q, dx + c * ex + s * gx, dy + c * ey + s * gy, dz + c * ez + s * gz)
            share[j * m + i] = total / (SPREAD * SPREAD)


@woven
def _tent(share: float) -> float:
    """0..1 spread over -1..1, most in the middle, as a tent: what lies bilinear between nodes then has no steps."""
    if share < 0.5:
        return math.sqrt(2.0 * share) - 1.0
    return 1.0 - math.sqrt(2.0 * (1.0 - share))


@woven
def _open(scene: Any, f: int, s: float, t: float, dx: float, dy: float, dz: float) -> float:
    """Share of light that comes along d to (s, t) of face f: 0 behind something, less than 1 behind panes."""
    x = scene.corner[f, 0] + s * scene.u[f, 0] + t * scene.v[f, 0] + LIFT_M * scene.normal[f, 0]
    y = scene.corner[f, 1] + s * scene.u[f, 1] + t * scene.v[f, 1] + LIFT_M * scene.normal[f, 1]
    z = scene.corner[f, 2] + s * scene.u[f, 2] + t * scene.v[f, 2] + LIFT_M * scene.normal[f, 2]
    share = 1.0
    for _ in range(8):
        g, way = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
        if g < 0:
            return share
        kind = scene.finish[g]
        if int(scene.finishes[kind, 11]) != GLASS:
            return 0.0
        share *= (scene.finishes[kind, 1] + scene.finishes[kind, 2] + scene.finishes[kind, 3]) / 3.0
        x, y, z = x + way * dx, y + way * dy, z + way * dz
    return 0.0


def sun_on_patches(scene: Scene, lattice: Lattice, sun: SunShare, toward: Rows) -> NDArray[np.float64]:
    """Mean over each patch of the sun's share times the cosine, (P,)."""
    total, count = np.zeros((2, len(lattice.patch_face)))
    _add_up(scene, lattice, sun, toward, total, count)
    out: NDArray[np.float64] = total / np.maximum(count, 1.0)
    return out


@kernel
def _add_up(scene: Any, lattice: Any, sun: Any, toward: Rows, total: Rows, count: Rows) -> None:
    for f in range(scene.corner.shape[0]):
        first = sun.start[f]
        if first < 0:
            continue
        cos = scene.normal[f, 0] * toward[0] + scene.normal[f, 1] * toward[1] + scene.normal[f, 2] * toward[2]
        m, n = sun.across[f], sun.along[f]
        p, q = lattice.across[f], lattice.along[f]
        for j in range(n):
            b = min(q - 1, int(j / (n - 1) * (q - 1) + 0.5))
            for i in range(m):
                a = min(p - 1, int(i / (m - 1) * (p - 1) + 0.5))
                patch = lattice.patch[lattice.start[f] + b * p + a]
                total[patch] += cos * sun.share[first + j * m + i]
                count[patch] += 1.0


__all__ = ["SunShare", "no_sun", "sun_on_patches", "sun_share"]
