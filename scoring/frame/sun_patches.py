"""Where the sun falls: on every face that looks toward it, the share of its disc that each of many nodes sees.

::

        ○ ○ ○ ○ ○ ○        one ray to the middle of the sun from every node;
        ○ ○ ◐ ● ● ●        where neighbours differ, rays to points spread over the disc, from points spread over
        ○ ◐ ● ● ● ●        the cells round the node: edges are as soft as half a degree makes them, and have no steps

Shares hold what panes on the way let through.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.kernels import kernel, woven
from scoring.frame.lattice import LIFT_M, Lattice, Rows, lit_faces, open_floors, sample_at
from scoring.frame.portals import PASSES
from scoring.frame.scene import Scene
from scoring.frame.solids import FAR, GROUND, WALL
from scoring.frame.threads import on_threads
from scoring.frame.trace import passed

SPACING_M = 0.02
_SPACING_OUTSIDE_M = 0.12
_SPACING_GROUND_M = 0.2
_SPACING_OPEN_FLOOR_M = 0.06
_SPACING_FAR_M = 0.7
MOST_ACROSS = 360
SPREAD, SPREAD_FAR = 5, 3
"""Rays from an edge node, and from one on the ground or beyond it: these numbers squared."""
LEAST_COS = 0.01
BAND = 1 << 15
"""Nodes of a piece of work."""


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
    faces = np.flatnonzero(live)
    nodes = across[faces].astype(np.int64) * along[faces]
    ends = np.concatenate([[0], np.cumsum(nodes)])
    coarse, share = (np.empty(ends[-1], np.float32) for _ in range(2))

    def band(of: tuple[int, int]) -> None:
        first, last = of
        some = slice(ends[first], ends[last])
        _on_faces(scene, faces[first:last], across, along, *toward, math.radians(radius_deg), coarse[some], share[some])

    bands = np.unique(np.searchsorted(ends, np.arange(0, ends[-1] + BAND, BAND)).clip(0, len(faces))).tolist()
    on_threads(band, list(pairwise(bands)))
    sunny = np.add.reduceat(share, ends[:-1]) > 0.0 if len(faces) else np.zeros(0, np.bool_)
    start = np.full(len(live), -1, np.int64)
    start[faces[sunny]] = 1 + np.cumsum(nodes[sunny]) - nodes[sunny]
    kept = share[np.repeat(sunny, nodes)]
    return SunShare(start, across, along, np.concatenate([np.zeros(1, np.float32), kept]))


@kernel
def _on_faces(
    scene: Any, faces: Rows, across: Rows, along: Rows, dx: float, dy: float, dz: float, radius: float,
    coarse: Rows, share: Rows,
) -> None:  # fmt: skip
    """Shares on some faces into ``share``, one after the other, and those of the sun's middle alone into ``coarse``."""
    first = 0
    for k in range(faces.shape[0]):
        f = faces[k]
        _on_face(scene, f, across[f], along[f], dx, dy, dz, radius, first, coarse, share)
        first += across[f] * along[f]


@woven
def _on_face(
    scene: Any, f: int, m: int, n: int, dx: float, dy: float, dz: float, radius: float, first: int,
    coarse: Rows, share: Rows,
) -> None:  # fmt: skip
    """Shares of the (m n) nodes of one face from row ``first`` on."""
    wide, high = scene.size_m[f, 0], scene.size_m[f, 1]
    last = -1
    spread = SPREAD_FAR if scene.part[f] == GROUND or scene.part[f] == FAR else SPREAD
    for j in range(n):
        t = sample_at(j, n, high)
        for i in range(m):
            coarse[first + j * m + i], last = _open(scene, f, sample_at(i, m, wide), t, dx, dy, dz, last)
    # Two directions square to the sun's.
    ax, ay = (1.0, 0.0) if abs(dx) < 0.7 else (0.0, 1.0)
    ex, ey, ez = ay * dz, -ax * dz, ax * dy - ay * dx
    e = math.sqrt(ex * ex + ey * ey + ez * ez)
    ex, ey, ez = ex / e, ey / e, ez / e
    gx, gy, gz = dy * ez - dz * ey, dz * ex - dx * ez, dx * ey - dy * ex
    ds, dt = wide / (m - 1), high / (n - 1)
    for j in range(n):
        for i in range(m):
            here = coarse[first + j * m + i]
            mixed = False
            for b in range(max(0, j - 1), min(n, j + 2)):
                for a in range(max(0, i - 1), min(m, i + 2)):
                    mixed = mixed or coarse[first + b * m + a] != here
            if not mixed:
                share[first + j * m + i] = here
                continue
            total = 0.0
            s0, t0 = sample_at(i, m, wide), sample_at(j, n, high)
            for b in range(spread):
                for a in range(spread):
                    index = spread * b + a + 0.5
                    r = radius * math.sqrt(index / (spread * spread))
                    turn = 2.399963229728653 * index
                    c, s = r * math.cos(turn), r * math.sin(turn)
                    p = min(max(s0 + ds * _tent((a + 0.5) / spread), 0.0), wide)
                    q = min(max(t0 + dt * _tent((b + 0.5) / spread), 0.0), high)
                    hx, hy, hz = dx + c * ex + s * gx, dy + c * ey + s * gy, dz + c * ez + s * gz
                    through, last = _open(scene, f, p, q, hx, hy, hz, last)
                    total += through
            share[first + j * m + i] = total / (spread * spread)


@woven
def _tent(share: float) -> float:
    """0..1 spread over -1..1, most in the middle, as a tent: what lies bilinear between nodes then has no steps."""
    if share < 0.5:
        return math.sqrt(2.0 * share) - 1.0
    return 1.0 - math.sqrt(2.0 * (1.0 - share))


@woven
def _open(scene: Any, f: int, s: float, t: float, dx: float, dy: float, dz: float, guess: int) -> tuple[float, int]:
    """Share of light that comes along d to (s, t) of face f: 0 behind something, less than 1 behind panes; and the
    piece in the way (``passed``)."""
    x = scene.corner[f, 0] + s * scene.u[f, 0] + t * scene.v[f, 0] + LIFT_M * scene.normal[f, 0]
    y = scene.corner[f, 1] + s * scene.u[f, 1] + t * scene.v[f, 1] + LIFT_M * scene.normal[f, 1]
    z = scene.corner[f, 2] + s * scene.u[f, 2] + t * scene.v[f, 2] + LIFT_M * scene.normal[f, 2]
    return passed(scene, x, y, z, dx, dy, dz, PASSES, guess)


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
