"""The first face that a ray meets, by a tree of boxes walked without a stack.

The tree is stored eight times, once for each combination of the signs of a ray's direction, so that the nearer
half always comes first. A row of a copy is a *node*; its ``links`` are the row to go on with when the ray misses the
box, the first of its pieces and how many they are (0 for an inner node, whose children follow)::

    row i ──hit──▶ row i + 1          a piece: the plane n.p = d, and p -> (a, b) in its two sides,
      └───miss───▶ links[i, 0]        hit where 0 <= a, b <= 1 (parallelogram) or a + b <= 1 (triangle)

Alphabet: P pieces, M nodes of one copy, F faces. ``planes`` (P, 13) holds n, d, the two inverse sides with their
offsets, and the most that a + b may be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS
from scoring.frame.kernels import kernel, woven

EDGE = 1e-7
"""Pieces are this much wider than drawn (share of a side), so that no ray slips between two."""
START_M = 1e-7
"""A ray starts this far along, clear of the face that it leaves."""
LEAF_PIECES = 3

Rows = NDArray[Any]


def planes_of(corners: Rows, runs: Rows, rises: Rows, triangles: Rows) -> Rows:
    """Pieces as the tracer reads them, shape (P, 13)."""
    normals = np.cross(runs, rises)
    size2 = (normals**2).sum(axis=1, keepdims=True)
    a_side = np.cross(rises, normals) / size2
    b_side = np.cross(normals, runs) / size2
    normals = normals / np.sqrt(size2)
    dots = [(x * corners).sum(axis=1, keepdims=True) for x in (normals, a_side, b_side)]
    most = np.where(triangles, 1.0, 3.0)[:, None]
    rows = np.hstack([normals, dots[0], a_side, dots[1], b_side, dots[2], most])
    return np.ascontiguousarray(rows, dtype=np.float64)


def tree_of(corners: Rows, runs: Rows, rises: Rows, triangles: Rows) -> tuple[Rows, Rows, Rows]:
    """Order of the pieces, boxes (8 M, 6) float32 and links (8 M, 3) int32 of the tree over them."""
    points = np.stack([corners, corners + runs, corners + rises, corners + runs + rises], axis=1)
    points[triangles, 3] = points[triangles, 2]
    low, high = points.min(axis=1), points.max(axis=1)
    order, ends, children, axes, boxes = _split(low, high)
    return order, *_unroll(ends, children, axes, boxes)


def trees_together(trees: Sequence[tuple[Rows, Rows]], pieces: Rows) -> tuple[Rows, Rows]:
    """Boxes and links of trees walked one after the other, the last first; tree k counts its pieces from
    ``pieces[k]``."""
    boxes, links = [], []
    sizes = [len(rows) // 8 for rows, _ in trees]
    row = 0
    for octant in range(8):
        for k in reversed(range(len(trees))):
            some = slice(octant * sizes[k], (octant + 1) * sizes[k])
            boxes.append(trees[k][0][some])
            links.append(trees[k][1][some] + np.array((row - some.start, pieces[k], 0), np.int32))
            row += sizes[k]
    return np.concatenate(boxes), np.concatenate(links)


@njit(nogil=True, cache=True)
def _split(low: Rows, high: Rows) -> tuple[Rows, Rows, Rows, Rows, Rows]:
    """A binary tree by least surface: order, piece ranges, left child (right = left + 1), axis and box per node."""
    n = low.shape[0]
    order = np.arange(n)
    middle = (low + high) * 0.5
    ends = np.zeros((2 * n, 2), np.int64)
    children = np.full(2 * n, -1, np.int64)
    axes = np.zeros(2 * n, np.int64)
    boxes = np.zeros((2 * n, 6))
    ends[0, 1] = n
    nodes = 1
    at = 0
    while at < nodes:
        first, last = ends[at, 0], ends[at, 1]
        for k in range(3):
            boxes[at, k] = low[order[first:last], k].min()
            boxes[at, 3 + k] = high[order[first:last], k].max()
        count = last - first
        if count > 1:
            best = np.inf
            best_axis = -1
            best_cut = 0
            for k in range(3):
                sorted_ = order[first:last][np.argsort(middle[order[first:last], k], kind="mergesort")]
                after = np.empty(count)
                bl = np.full(3, np.inf)
                bh = np.full(3, -np.inf)
                for i in range(count - 1, 0, -1):
                    bl = np.minimum(bl, low[sorted_[i]])
                    bh = np.maximum(bh, high[sorted_[i]])
                    after[i] = _half_area(bl, bh) * (count - i)
                bl = np.full(3, np.inf)
                bh = np.full(3, -np.inf)
                for i in range(1, count):
                    bl = np.minimum(bl, low[sorted_[i - 1]])
                    bh = np.maximum(bh, high[sorted_[i - 1]])
                    cost = _half_area(bl, bh) * i + after[i]
                    if cost < best:
                        best = cost
                        best_axis = k
                        best_cut = i
            whole = _half_area(boxes[at, :3], boxes[at, 3:])
            if count > LEAF_PIECES or best + whole < whole * count:
                sorted_ = order[first:last][np.argsort(middle[order[first:last], best_axis], kind="mergesort")]
                order[first:last] = sorted_
                children[at] = nodes
                axes[at] = best_axis
                ends[nodes, 0], ends[nodes, 1] = first, first + best_cut
                ends[nodes + 1, 0], ends[nodes + 1, 1] = first + best_cut, last
                nodes += 2
        at += 1
    return order, ends[:nodes], children[:nodes], axes[:nodes], boxes[:nodes]


@njit(nogil=True, cache=True)
def _half_area(low: Rows, high: Rows) -> float:
    x, y, z = high[0] - low[0], high[1] - low[1], high[2] - low[2]
    return float(x * y + y * z + z * x + 1e-9)


@njit(nogil=True, cache=True)
def _unroll(ends: Rows, children: Rows, axes: Rows, boxes: Rows) -> tuple[Rows, Rows]:
    """The tree written out once per octant of directions, the nearer child first."""
    m = children.shape[0]
    out = np.empty((8 * m, 6), np.float32)
    links = np.zeros((8 * m, 3), np.int32)
    stack = np.empty(2 * m, np.int64)
    skip = np.empty(2 * m, np.int64)
    for octant in range(8):
        base = octant * m
        stack[0] = 0
        depth = 1
        row = base
        where = np.empty(m, np.int64)
        while depth > 0:
            depth -= 1
            node = stack[depth]
            where[node] = row
            for k in range(3):
                pad = 1e-5 + 2e-7 * max(abs(boxes[node, k]), abs(boxes[node, 3 + k]))
                out[row, k] = boxes[node, k] - pad
                out[row, 3 + k] = boxes[node, 3 + k] + pad
            if children[node] < 0:
                links[row, 1] = ends[node, 0]
                links[row, 2] = ends[node, 1] - ends[node, 0]
            else:
                near = children[node]
                far = near + 1
                if (octant >> axes[node]) & 1:
                    near, far = far, near
                stack[depth] = far
                stack[depth + 1] = near
                depth += 2
            row += 1
        depth = 1
        stack[0] = 0
        skip[0] = base + m
        while depth > 0:
            depth -= 1
            node = stack[depth]
            end = skip[depth]
            links[where[node], 0] = end
            if children[node] >= 0:
                near = children[node]
                far = near + 1
                if (octant >> axes[node]) & 1:
                    near, far = far, near
                stack[depth] = far
                skip[depth] = end
                stack[depth + 1] = near
                skip[depth + 1] = where[far]
                depth += 2
    return out, links


@woven
def way_to(
    planes: Any, p: int, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, rim: float, most: float
) -> float:
    """How far along a ray piece p, widened by ``rim`` (share of a side), is met, in lengths of d; inf when it is not,
    or not before ``most``."""
    slant = planes[p, 0] * dx + planes[p, 1] * dy + planes[p, 2] * dz
    if slant == 0.0:
        return np.inf
    t = (planes[p, 3] - planes[p, 0] * ox - planes[p, 1] * oy - planes[p, 2] * oz) / slant
    if not (START_M < t < most):
        return np.inf
    px, py, pz = ox + t * dx, oy + t * dy, oz + t * dz
    a = planes[p, 4] * px + planes[p, 5] * py + planes[p, 6] * pz - planes[p, 7]
    if a < -rim or a > 1.0 + rim:
        return np.inf
    b = planes[p, 8] * px + planes[p, 9] * py + planes[p, 10] * pz - planes[p, 11]
    if b < -rim or b > 1.0 + rim or a + b > planes[p, 12] + rim:
        return np.inf
    return float(t)


@woven
def _entry(dx: float, dy: float, dz: float) -> tuple[int, float, float, float, int, int, int, int, int, int]:
    """The octant of a direction, its inverse, and where in a box its near and far sides stand."""
    octant = (1 if dx < 0.0 else 0) + (2 if dy < 0.0 else 0) + (4 if dz < 0.0 else 0)
    ix = 1.0 / dx if abs(dx) > 1e-20 else (1e20 if dx >= 0.0 else -1e20)
    iy = 1.0 / dy if abs(dy) > 1e-20 else (1e20 if dy >= 0.0 else -1e20)
    iz = 1.0 / dz if abs(dz) > 1e-20 else (1e20 if dz >= 0.0 else -1e20)
    near_x, far_x = (3, 0) if dx < 0.0 else (0, 3)
    near_y, far_y = (4, 1) if dy < 0.0 else (1, 4)
    near_z, far_z = (5, 2) if dz < 0.0 else (2, 5)
    return octant, ix, iy, iz, near_x, far_x, near_y, far_y, near_z, far_z


@woven
def first_hit(
    scene: Any, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, bit: int
) -> tuple[int, float]:
    """The first face along a ray that the shots of ``bit`` see, and its distance in lengths of d; (-1, inf) for sky."""
    boxes = scene.boxes
    links = scene.links
    planes = scene.planes
    piece_face = scene.piece_face
    seen = scene.seen
    m = boxes.shape[0] // 8
    octant, ix, iy, iz, near_x, far_x, near_y, far_y, near_z, far_z = _entry(dx, dy, dz)
    best = np.inf
    face = -1
    row = octant * m
    end = row + m
    while row < end:
        t0 = max((boxes[row, near_x] - ox) * ix, (boxes[row, near_y] - oy) * iy, (boxes[row, near_z] - oz) * iz)
        t1 = min((boxes[row, far_x] - ox) * ix, (boxes[row, far_y] - oy) * iy, (boxes[row, far_z] - oz) * iz)
        if t0 <= t1 and t1 > 0.0 and t0 < best:
            first = links[row, 1]
            for p in range(first, first + links[row, 2]):
                t = way_to(planes, p, ox, oy, oz, dx, dy, dz, EDGE, best)
                if t < best and seen[piece_face[p]] & bit:
                    best = t
                    face = piece_face[p]
            row += 1
        else:
            row = links[row, 0]
    return face, best


@woven
def passed(
    scene: Any, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, bit: int, guess: int
) -> tuple[float, int]:
    """Share of the light from afar along d that comes past all that ``bit`` sees: panes take their part, the rest all.

    Also the piece in its way, -1 when there is none: the best ``guess`` for the next ray, which is looked at first.
    """
    boxes = scene.boxes
    links = scene.links
    planes = scene.planes
    if guess >= 0 and way_to(planes, guess, ox, oy, oz, dx, dy, dz, EDGE, np.inf) < np.inf:
        return 0.0, guess
    m = boxes.shape[0] // 8
    octant, ix, iy, iz, near_x, far_x, near_y, far_y, near_z, far_z = _entry(dx, dy, dz)
    share = 1.0
    pane = -1
    row = octant * m
    end = row + m
    while row < end:
        t0 = max((boxes[row, near_x] - ox) * ix, (boxes[row, near_y] - oy) * iy, (boxes[row, near_z] - oz) * iz)
        t1 = min((boxes[row, far_x] - ox) * ix, (boxes[row, far_y] - oy) * iy, (boxes[row, far_z] - oz) * iz)
        if t0 <= t1 and t1 > 0.0:
            first = links[row, 1]
            for p in range(first, first + links[row, 2]):
                f = scene.piece_face[p]
                if f == pane or not (scene.seen[f] & bit):
                    continue
                if way_to(planes, p, ox, oy, oz, dx, dy, dz, EDGE, np.inf) == np.inf:
                    continue
                kind = scene.finish[f]
                if int(scene.finishes[kind, 11]) != GLASS:
                    return 0.0, p
                pane = f
                share *= (scene.finishes[kind, 1] + scene.finishes[kind, 2] + scene.finishes[kind, 3]) / 3.0
            row += 1
        else:
            row = links[row, 0]
    return share, -1


@woven
def blocked(
    scene: Any, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, reach: float, bit: int
) -> bool:
    """Whether anything that ``bit`` sees lies along a ray before ``reach`` lengths of d."""
    _, t = first_hit(scene, ox, oy, oz, dx, dy, dz, bit)
    return t < reach


@kernel
def _hits(scene: Any, origins: Rows, directions: Rows, bit: int, faces: Rows, distances: Rows) -> None:
    for i in range(origins.shape[0]):
        faces[i], distances[i] = first_hit(
            scene, origins[i, 0], origins[i, 1], origins[i, 2],
            directions[i, 0], directions[i, 1], directions[i, 2], bit,
        )  # fmt: skip


def first_hits(scene: Any, origins_m: Rows, directions: Rows, shot_bit: int = 1) -> tuple[Rows, Rows]:
    """First faces (n,) int32, -1 for sky, and distances (n,) [lengths of the directions] along rays (n, 3)."""
    rays = np.ascontiguousarray(directions, dtype=np.float64)
    starts = np.array(np.broadcast_to(origins_m, rays.shape), dtype=np.float64, order="C")
    faces = np.empty(len(rays), np.int32)
    distances = np.empty(len(rays))
    if not math.isfinite(rays.sum() + starts.sum()):
        raise ValueError("rays need finite coordinates")
    _hits(scene, starts, rays, shot_bit, faces, distances)
    return faces, distances


__all__ = [
    "EDGE", "START_M", "blocked", "first_hit", "first_hits", "passed", "planes_of", "tree_of", "trees_together",
    "way_to",
]  # fmt: skip
