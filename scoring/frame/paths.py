"""The ways of light in a scene, found once: they depend on what stands where, not on hour, sky or lamps.

Alphabet: N nodes and P patches (``lattice``), C sky cells, L lamp faces (``gather``). ``near`` and ``far`` are sparse,
(N, P + C + L), in shares of a node's view.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, vstack
from scipy.spatial import cKDTree

from scoring.frame.finishes import GLASS, LAMP
from scoring.frame.gather import MOST_SIDE, SKY_COLUMNS, SKY_ROWS, gather
from scoring.frame.kernels import kernel
from scoring.frame.lattice import ON, Lattice, Rows, lay_lattice, lit_faces, sources_of
from scoring.frame.portals import reached
from scoring.frame.scene import Scene
from scoring.frame.solids import FAR, GROUND
from scoring.frame.textures import reflectance
from scoring.frame.threads import on_threads

SIDE = 14
"""Rays of a node: SIDE squared."""
SIDE_SMALL, SMALL_M2 = 9, 0.12
"""... and of a node on a small face or far off, whose light nobody compares with its neighbour's."""
BAND = 256
_LENDERS = 16
_TURNED_M = 0.3
"""A node that looks the other way counts as twice this much farther off."""
PANE_M2 = 0.08
"""Panes smaller than this are left to the ordinary rays."""


class Paths(NamedTuple):
    """What each node sees."""

    lattice: Lattice
    near: csr_matrix
    """By ordinary rays."""
    far: csr_matrix
    """Through panes, and from lamps, sampled by their area."""
    lamps: NDArray[np.int32]
    """(L,) the faces."""
    exchange: csr_matrix
    """(P, P + C + L) ``near`` and ``far`` as means over patches."""
    mean: csr_matrix
    """(P, N) mean over a patch's nodes."""
    source: NDArray[np.int64]
    """(N,) the node whose light a node takes: itself, unless it is off its face or buried; -1 none."""
    open_m: NDArray[np.float64]
    """(N,) how far off things are, as a harmonic mean: light changes slowly where it is large."""
    reflect: NDArray[np.float64]
    """(P, 3) mean reflectance of each patch."""


def find_paths(scene: Scene, side: int = SIDE) -> Paths:
    """Cast all rays of a scene."""
    lattice = lay_lattice(scene)
    live = lit_faces(scene)
    optic = scene.finishes[scene.finish, 11]
    seen = (scene.seen >> np.uint32(29)) & 1 == 1
    panes = np.flatnonzero((optic == GLASS) & seen & (scene.area_m2 >= PANE_M2)).astype(np.int32)
    lamps = np.flatnonzero((optic == LAMP) & live).astype(np.int32)
    bright = reached(scene, panes, lamps)
    lamp_rank = np.full(len(live), -1, np.int32)
    lamp_rank[lamps] = np.arange(len(lamps))
    patches = len(lattice.patch_face)
    columns = patches + SKY_ROWS * SKY_COLUMNS + len(lamps)
    open_m = np.full(len(lattice.face), 10.0)
    nodes = np.flatnonzero(lattice.state == ON)
    on = lattice.face[nodes]
    small = (scene.area_m2[on] < SMALL_M2) | (scene.part[on] == FAR) | (scene.part[on] == GROUND)
    sides = np.where(small, min(side, SIDE_SMALL), side)
    widest = int(MOST_SIDE**2 * np.diff(bright[0]).max() + np.diff(bright[2]).max())

    def band(first: int) -> tuple[csr_matrix, csr_matrix]:
        some = slice(first, first + BAND)
        return _band(scene, lattice, bright, lamp_rank, nodes[some], sides[some], (columns, widest), open_m)

    parts = list(zip(*on_threads(band, range(0, len(nodes), BAND)), strict=True))
    spread = csr_matrix(
        (np.ones(len(nodes), np.float32), (nodes, np.arange(len(nodes)))), shape=(len(lattice.face), len(nodes))
    )
    far, near = (spread @ vstack(parts.pop(), format="csr") for _ in range(2))
    source = sources_of(lattice.across, lattice.along, lattice.start, lattice.state)
    _borrow(scene, lattice, source)
    near, far = (_from_open_patches(matrix, lattice, source, patches) for matrix in (near, far))
    good = np.flatnonzero((lattice.state == ON) & (lattice.patch >= 0))
    of, part = lattice.patch[good], _parts(lattice)[good]
    part /= np.maximum(np.bincount(of, part, minlength=patches), 1e-9)[of]
    mean = csr_matrix((part.astype(np.float32), (of, good)), shape=(patches, len(lattice.face)))
    exchange = (mean @ near + mean @ far).tocsr()
    reflect = np.zeros((patches, 3))
    _reflect(scene, lattice, reflect, np.zeros(patches))
    return Paths(lattice, near, far, lamps, exchange, mean, source, open_m, reflect)


def _band(
    scene: Scene, lattice: Lattice, bright: tuple[Rows, ...], lamp_rank: Rows, nodes: Rows, sides: Rows,
    size: tuple[int, int], open_m: Rows,
) -> tuple[csr_matrix, csr_matrix]:  # fmt: skip
    """Compressed rows of some nodes. ``size``: columns in all, and the most that a node may sample."""
    n, (columns, widest) = len(nodes), size
    room = (n * min(columns, 2 * int(sides.max()) ** 2), n * min(columns, widest))
    ends = [np.zeros(n + 1, np.int32) for _ in room]
    of = [np.empty(most, np.int32) for most in room]
    weights = [np.empty(most, np.float32) for most in room]
    gather(
        scene, lattice, bright, lamp_rank, nodes, sides,
        ends[0], of[0], weights[0], ends[1], of[1], weights[1], open_m,
        np.zeros(columns), np.empty(columns, np.int64), np.zeros(len(scene.corner), np.bool_),
    )  # fmt: skip
    near, far = (
        csr_matrix((weights[k][: ends[k][-1]].copy(), of[k][: ends[k][-1]].copy(), ends[k]), shape=(n, columns))
        for k in range(2)
    )
    return near, far


def _borrow(scene: Scene, lattice: Lattice, source: NDArray[np.int64]) -> None:
    """Where a whole face has no good node, take the light of one close by that looks much the same way."""
    poor = np.flatnonzero((source < 0) & (lattice.patch >= 0))
    good = np.flatnonzero(lattice.state == ON)
    if not len(poor) or not len(good):
        return
    away, found = cKDTree(lattice.point[good]).query(lattice.point[poor], k=min(_LENDERS, len(good)))
    lenders = good[found.reshape(len(poor), -1)]
    alike = np.einsum("nkc,nc->nk", scene.normal[lattice.face[lenders]], scene.normal[lattice.face[poor]])
    cost = away.reshape(len(poor), -1) + _TURNED_M * (1.0 - alike)
    source[poor] = lenders[np.arange(len(poor)), cost.argmin(axis=1)]


def _parts(lattice: Lattice) -> NDArray[np.float64]:
    """How much of its face each node stands for (N,): half along a rim, a quarter in a corner."""
    index = np.arange(len(lattice.face)) - lattice.start[lattice.face]
    m, n = lattice.across[lattice.face], lattice.along[lattice.face]
    part = np.ones(len(index))
    for at, count in ((index % m, m), (index // m, n)):
        part[(count > 1) & ((at == 0) | (at == count - 1))] *= 0.5
    return part


def _from_open_patches(matrix: csr_matrix, lattice: Lattice, source: Rows, patches: int) -> csr_matrix:
    """Point what ends on a patch without a good node to the patch that lends it light."""
    to = np.arange(matrix.shape[1], dtype=matrix.indices.dtype)
    nodes = np.flatnonzero((source >= 0) & (lattice.patch >= 0))
    lent = lattice.patch[source[nodes]]
    good = np.zeros(patches, bool)
    good[lattice.patch[nodes[source[nodes] == nodes]]] = True
    poor = ~good[lattice.patch[nodes]]
    to[lattice.patch[nodes[poor]]] = lent[poor]
    matrix.indices = to[matrix.indices]
    matrix.has_sorted_indices = False
    matrix.sum_duplicates()
    return matrix


@kernel
def _reflect(scene: Any, lattice: Any, out: Any, count: Any) -> None:
    """Mean reflectance of each patch, by what its nodes show from afar; ``count`` (P,) of zeros is to work on."""
    for k in range(lattice.face.shape[0]):
        patch = lattice.patch[k]
        if patch < 0:
            continue
        f = lattice.face[k]
        px = lattice.point[k, 0] - scene.corner[f, 0]
        py = lattice.point[k, 1] - scene.corner[f, 1]
        pz = lattice.point[k, 2] - scene.corner[f, 2]
        s = px * scene.u[f, 0] + py * scene.u[f, 1] + pz * scene.u[f, 2] + scene.lay_m[f, 0]
        t = px * scene.v[f, 0] + py * scene.v[f, 1] + pz * scene.v[f, 2] + scene.lay_m[f, 1]
        r, g, b = reflectance(scene.finishes, scene.finish[f], scene.tiles, s, t, 0.5, 0.5)
        out[patch, 0] += r
        out[patch, 1] += g
        out[patch, 2] += b
        count[patch] += 1.0
    for patch in range(out.shape[0]):
        for c in range(3):
            out[patch, c] /= max(count[patch], 1.0)


__all__ = ["Paths", "find_paths"]
