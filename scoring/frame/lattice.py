"""Nodes on every face, where light is worked out, and the patches that they are gathered into to throw it back.

::

        ●────●────●────●────●     nodes: rows along v, the outer ones on the rim of the face's rectangle,
        │    │    │    ┆    │     but light is sampled a little inside it, clear of the neighbouring wall
        ●────●────●────●────●
        │ patch 0 │ patch 1 │     patches: blocks of nodes about PATCH_M wide
        ●────●────○────○────●     ○ off the face (a door's hole), or buried under a thing: filled from neighbours

Alphabet: F faces, N nodes in all, P patches. Node (i, j) of face f is row ``start[f] + j * across[f] + i``.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS
from scoring.frame.kernels import kernel, woven
from scoring.frame.scene import ALL_SHOTS, Scene
from scoring.frame.solids import CEILING, FAR, FLOOR, GROUND, LEAF, REVEAL, THING, TRIM, WALL

Rows = NDArray[Any]

OFF, ON, BURIED = 0, 1, 2
"""What a node is: off its face, on it in the open, on it but inside a solid."""

PATCH_M = 0.7
INSET_M = 0.02
"""Light is sampled this far inside a face's rim."""
LIFT_M = 0.002
"""... and this far over its plane."""
MOST_ACROSS = 160

_SPACING_M = {
    FLOOR: 0.13,
    CEILING: 0.2,
    WALL: 0.24,
    REVEAL: 0.3,
    THING: 0.2,
    LEAF: 0.3,
    TRIM: 0.6,
    GROUND: 2.0,
    FAR: 12.0,
}
_SPACING_OUTER_WALL_M = 0.9
_SPACING_OPEN_FLOOR_M = 0.5
_MOST_ACROSS_GROUND = 40
_COARSER = 2.5
"""How much wider nodes stand on storeys that are joined by stairs but not the one that is shown."""
_STOREY_M = 3.6
_FLAT_M2, _LARGEST = 110.0, 1.5


class Lattice(NamedTuple):
    """Where the nodes stand."""

    start: NDArray[np.int64]
    """(F,)"""
    across: NDArray[np.int32]
    """(F,) nodes along u."""
    along: NDArray[np.int32]
    """(F,) nodes along v."""
    face: NDArray[np.int32]
    """(N,) the face of each node."""
    point: NDArray[np.float64]
    """(N, 3) where its light is sampled [m]."""
    state: NDArray[np.uint8]
    """(N,) OFF or ON; BURIED nodes are found when rays are cast."""
    patch: NDArray[np.int32]
    """(N,) the patch of each node; -1 on faces that take no light."""
    patch_face: NDArray[np.int32]
    """(P,) the face of each patch."""


def lit_faces(scene: Scene) -> NDArray[np.bool_]:
    """Faces (F,) that a picture can show and that take light: no panes, no blocks of the sight engine."""
    seen = (scene.seen & np.uint32(ALL_SHOTS)) != 0
    out: NDArray[np.bool_] = seen & (scene.finishes[scene.finish, 11] != GLASS)
    return out


def open_floors(scene: Scene) -> NDArray[np.bool_]:
    """Floors (F,) of spaces without a ceiling: terraces, yards, paths."""
    roofed = np.unique(scene.owner[scene.part == CEILING])
    out: NDArray[np.bool_] = (scene.part == FLOOR) & ~np.isin(scene.owner, roofed)
    return out


def lay_lattice(scene: Scene) -> Lattice:
    """Nodes on every face of a scene: closer where light changes fast and people look, one on a small face."""
    live = lit_faces(scene)
    spacing = np.full(len(live), _SPACING_M[THING])
    for part, wide in _SPACING_M.items():
        spacing[scene.part == part] = wide
    outer = scene.owner < 0
    spacing[outer & (scene.part == WALL)] = _SPACING_OUTER_WALL_M
    spacing[open_floors(scene)] = _SPACING_OPEN_FLOOR_M
    middle_z = scene.corner[:, 2] + 0.5 * (scene.u[:, 2] * scene.size_m[:, 0] + scene.v[:, 2] * scene.size_m[:, 1])
    over = middle_z - scene.home[2]
    spacing[~outer & ((over < -0.4) | (over > _STOREY_M))] *= _COARSER
    spacing *= _coarseness(scene)
    most = np.where((scene.part == GROUND) | (scene.part == FAR), _MOST_ACROSS_GROUND, MOST_ACROSS)
    counts = []
    for k in (0, 1):
        size = scene.size_m[:, k]
        count = np.round(size / spacing).astype(np.int64) + 1
        counts.append(np.where(live, np.clip(count, 1, most), 1).astype(np.int32))
    across, along = counts
    total = across.astype(np.int64) * along
    start = np.concatenate([[0], np.cumsum(total)[:-1]]).astype(np.int64)
    face = np.repeat(np.arange(len(live), dtype=np.int32), total)
    point = np.empty((len(face), 3))
    state = np.zeros(len(face), np.uint8)
    _place(scene, live, start, across, along, point, state)
    patch, patch_face = _patches(scene, live, start, across, along, face)
    return Lattice(start, across, along, face, point, state, patch, patch_face)


def _coarseness(scene: Scene) -> float:
    """A large house gets fewer nodes to the metre: 1 for a flat, up to ``_LARGEST``."""
    near = (scene.part == FLOOR) & ~open_floors(scene) & (np.abs(scene.corner[:, 2] - scene.home[2]) < 1.5)
    floor_m2 = float(scene.area_m2[near].sum())
    return float(min(_LARGEST, max(1.0, (floor_m2 / _FLAT_M2) ** 0.5)))


@kernel
def _place(scene: Any, live: Any, start: Any, across: Any, along: Any, point: Any, state: Any) -> None:
    for f in range(live.shape[0]):
        m, n = across[f], along[f]
        some = False
        for j in range(n):
            for i in range(m):
                k = start[f] + j * m + i
                s = sample_at(i, m, scene.size_m[f, 0])
                t = sample_at(j, n, scene.size_m[f, 1])
                for c in range(3):
                    point[k, c] = scene.corner[f, c] + s * scene.u[f, c] + t * scene.v[f, c]
                if live[f] and _clear_of_rim(scene, f, point[k, 0], point[k, 1], point[k, 2]):
                    state[k] = ON
                    some = True
                for c in range(3):
                    point[k, c] += LIFT_M * scene.normal[f, c]
        if live[f] and not some:
            k = start[f] + (n // 2) * m + m // 2
            _middle_of(scene, f, point[k])
            state[k] = ON


@woven
def sample_at(i: int, n: int, size: float) -> float:
    """Where along a side of a face node i of n is sampled [m]."""
    if n == 1:
        return 0.5 * size
    inset = min(INSET_M, 0.1 * size)
    return float(min(size - inset, max(inset, size * i / (n - 1))))


@woven
def _clear_of_rim(scene: Any, f: int, x: float, y: float, z: float) -> bool:
    """Whether a point lies on a face and a little way in from all of its edges: a hole's and a notch's too."""
    for k in range(4):
        s = (1.0 if k % 2 == 0 else -1.0) * min(0.9 * INSET_M, 0.09 * scene.size_m[f, 0])
        t = (1.0 if k < 2 else -1.0) * min(0.9 * INSET_M, 0.09 * scene.size_m[f, 1])
        px = x + s * scene.u[f, 0] + t * scene.v[f, 0]
        py = y + s * scene.u[f, 1] + t * scene.v[f, 1]
        pz = z + s * scene.u[f, 2] + t * scene.v[f, 2]
        if not _on_face(scene, f, px, py, pz):
            return False
    return True


@woven
def _on_face(scene: Any, f: int, x: float, y: float, z: float) -> bool:
    planes = scene.planes
    for q in range(scene.piece_start[f], scene.piece_start[f + 1]):
        p = scene.piece_of[q]
        a = planes[p, 4] * x + planes[p, 5] * y + planes[p, 6] * z - planes[p, 7]
        b = planes[p, 8] * x + planes[p, 9] * y + planes[p, 10] * z - planes[p, 11]
        if a >= -1e-6 and a <= 1.0 + 1e-6 and b >= -1e-6 and b <= 1.0 + 1e-6 and a + b <= planes[p, 12] + 1e-6:
            return True
    return False


@woven
def _middle_of(scene: Any, f: int, out: Any) -> None:
    """Write a point of the face, the middle of its first piece, lifted off its plane."""
    p = scene.piece_of[scene.piece_start[f]]
    planes = scene.planes
    share = 1.0 / 3.0 if planes[p, 12] < 2.0 else 0.5
    # The point where both inverse sides read `share`: solved in the face's own frame.
    a0 = _along(planes, p, 4, scene, f, 0)
    a1 = _along(planes, p, 4, scene, f, 1)
    b0 = _along(planes, p, 8, scene, f, 0)
    b1 = _along(planes, p, 8, scene, f, 1)
    ra = share + planes[p, 7] - _at_corner(planes, p, 4, scene, f)
    rb = share + planes[p, 11] - _at_corner(planes, p, 8, scene, f)
    det = a0 * b1 - a1 * b0
    s = (ra * b1 - a1 * rb) / det
    t = (a0 * rb - ra * b0) / det
    for c in range(3):
        out[c] = scene.corner[f, c] + s * scene.u[f, c] + t * scene.v[f, c] + LIFT_M * scene.normal[f, c]


@woven
def _along(planes: Any, p: int, q: int, scene: Any, f: int, which: int) -> float:
    side = scene.u if which == 0 else scene.v
    return float(planes[p, q] * side[f, 0] + planes[p, q + 1] * side[f, 1] + planes[p, q + 2] * side[f, 2])


@woven
def _at_corner(planes: Any, p: int, q: int, scene: Any, f: int) -> float:
    at = scene.corner
    return float(planes[p, q] * at[f, 0] + planes[p, q + 1] * at[f, 1] + planes[p, q + 2] * at[f, 2])


def _patches(
    scene: Scene, live: Rows, start: Rows, across: Rows, along: Rows, face: Rows
) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Blocks of nodes: the patch of each node, the face of each patch."""
    cells = []
    for k, count in ((0, across), (1, along)):
        wanted = np.ceil(scene.size_m[:, k] / PATCH_M).astype(np.int64)
        cells.append(np.clip(wanted, 1, count))
    total = np.where(live, cells[0] * cells[1], 0)
    first = np.concatenate([[0], np.cumsum(total)[:-1]])
    index = np.arange(len(face)) - start[face]
    i, j = index % across[face], index // across[face]
    a = i * cells[0][face] // across[face]
    b = j * cells[1][face] // along[face]
    patch = np.where(live[face], first[face] + b * cells[0][face] + a, -1).astype(np.int32)
    return patch, np.repeat(np.arange(len(live), dtype=np.int32), total)


@njit(nogil=True, cache=True)
def sources_of(across: Any, along: Any, start: Any, state: Any) -> Any:
    """For every node the nearest one of its face that is ON (itself when it is), -1 when there is none: (N,)."""
    source = np.full(state.shape[0], -1, np.int64)
    queue = np.empty(state.shape[0], np.int64)
    for f in range(start.shape[0]):
        m, n = across[f], along[f]
        head = tail = 0
        for k in range(start[f], start[f] + m * n):
            if state[k] == ON:
                source[k] = k
                queue[tail] = k
                tail += 1
        while head < tail:
            k = queue[head]
            head += 1
            i, j = (k - start[f]) % m, (k - start[f]) // m
            for step in range(4):
                a = i + (1 if step == 0 else (-1 if step == 1 else 0))
                b = j + (1 if step == 2 else (-1 if step == 3 else 0))
                if a < 0 or b < 0 or a >= m or b >= n:
                    continue
                other = start[f] + b * m + a
                if source[other] < 0:
                    source[other] = source[k]
                    queue[tail] = other
                    tail += 1
    return source


__all__ = [
    "BURIED", "LIFT_M", "OFF", "ON", "Lattice", "Rows", "lay_lattice", "lit_faces", "open_floors", "sample_at",
    "sources_of",
]  # fmt: skip
