r"""What one heading sees, traced in bundles: a tile of rays meets the scene once, each of its rays then few pieces.

A *beam* is the pyramid round all rays of a tile. What lies outside of it, or behind a piece that fills it, cannot be
seen in the tile; what is left is a short list of pieces that every ray of the tile is tried against, exactly::

                 ____ far wall: behind, dropped
         \  ┌──────────┐  /
          \ │ table top│ /      a piece that all four corner rays meet fills the beam (pieces are convex)
           \└──────────┘/
            \          /
             \  tile  /
              \      /  o apex

Alphabet: W, H width and height of the whole frame [px]; (c, r) column and row in it, counted on beyond the rim so that
a heading's columns are one run; ``quads`` (P, 4, 3) corners of the pieces in the order of ``Scene.planes``.
Pixels whose neighbours show another face are the mean of four rays.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.finishes import GLASS, MIRROR
from scoring.frame.kernels import kernel, woven
from scoring.frame.pose import believed_ray
from scoring.frame.shade import radiance_from
from scoring.frame.trace import EDGE, first_hit, way_to

Rows = NDArray[Any]

TILE = 16
"""Pixels along the side of a tile."""
_SIDE = TILE + 2
_MOST = 48
"""Pieces in a beam's list; beyond it every ray finds its own way."""
_PAD = 0.75
"""Pixels that a beam is wider than its tile: rows of a frame are no great circles."""
_NARROWEST = 256
"""Frames less wide than this have tiles too wide for flat-sided beams."""
_FLATTEST = 88.0 * math.pi / 180.0
SUN_RADIUS_RAD = 0.00465
ALL_SHOTS = (1 << 30) - 1


def quads_of(planes: Rows) -> Rows:
    """Corners of the pieces that the tracer keeps as planes (P, 13): (P, 4, 3); a triangle repeats its first."""
    sides = np.stack([planes[:, 0:3], planes[:, 4:7], planes[:, 8:11]], axis=1)
    back = np.linalg.inv(sides)
    out = np.empty((len(planes), 4, 3))
    for k, (a, b) in enumerate(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0))):
        at = np.stack([planes[:, 3], planes[:, 7] + a, planes[:, 11] + b], axis=1)
        out[:, k] = np.einsum("nij,nj->ni", back, at)
    flat = planes[:, 12] < 2.0
    out[flat, 3] = out[flat, 0]
    return np.ascontiguousarray(out)


@woven
def pixel_ray(row: Rows, width: int, c: float, r: float) -> tuple[float, float, float, float, float, float, float]:
    """The ray of a heading through a place of the frame, in pixels from the middle of the first."""
    lon = (c + 0.5) * (2.0 * math.pi / width) - math.pi - row[25]
    lat = 0.5 * math.pi - (r + 0.5) * (2.0 * math.pi / width)
    across = math.cos(lat)
    return believed_ray(row, across * math.cos(lon), -across * math.sin(lon), math.sin(lat))


@kernel
def _list_pieces(
    scene: Any, quads: Rows, row: Rows, width: int, c: int, r: int, step: int, mask: int, found: Rows, desk: Rows
) -> tuple[int, bool]:
    """Pieces that rays of the tile at (c, r) may meet first, into ``found``; how many (-1: too many to list), and
    whether all shots see all of them alike. ``desk`` (5 + 4 + the most pieces, 6) is to work on."""
    ends, walls, nearest = desk[:4], desk[4:9], desk[9:, 0]
    mx, my, mz, ax, ay, az, _ = pixel_ray(row, width, c + 0.5 * TILE - 0.5, r + 0.5 * TILE - 0.5)
    low, high = -1.0 - _PAD, TILE + _PAD
    off = 1e-9
    for k in range(4):
        x = low - 0.4 * step if k == 0 or k == 3 else high + 0.4 * step
        y = low if k < 2 else high
        ends[k, 0], ends[k, 1], ends[k, 2], ends[k, 3], ends[k, 4], ends[k, 5], _ = pixel_ray(row, width, c + x, r + y)
        off = max(off, abs(ends[k, 0] - mx) + abs(ends[k, 1] - my) + abs(ends[k, 2] - mz))
    off += 1e-6
    narrow = 1.0
    for k in range(4):
        narrow = min(narrow, ends[k, 3] * ax + ends[k, 4] * ay + ends[k, 5] * az)
        i = (k + 1) % 4
        nx = ends[k, 4] * ends[i, 5] - ends[k, 5] * ends[i, 4]
        ny = ends[k, 5] * ends[i, 3] - ends[k, 3] * ends[i, 5]
        nz = ends[k, 3] * ends[i, 4] - ends[k, 4] * ends[i, 3]
        size = math.sqrt(nx * nx + ny * ny + nz * nz)
        if nx * ax + ny * ay + nz * az < 0.0:
            size = -size
        walls[k, 0], walls[k, 1], walls[k, 2] = nx / size, ny / size, nz / size
    walls[4, 0], walls[4, 1], walls[4, 2] = ax, ay, az
    for k in range(5):
        walls[k, 3] = walls[k, 0] * mx + walls[k, 1] * my + walls[k, 2] * mz - off
    count = 0
    filled = np.inf
    alike = True
    boxes, links, planes = scene.boxes, scene.links, scene.planes
    m = boxes.shape[0] // 8
    octant = (1 if ax < 0.0 else 0) + (2 if ay < 0.0 else 0) + (4 if az < 0.0 else 0)
    at = octant * m
    end = at + m
    while at < end:
        gx = max(boxes[at, 0] - mx, mx - boxes[at, 3], 0.0)
        gy = max(boxes[at, 1] - my, my - boxes[at, 4], 0.0)
        gz = max(boxes[at, 2] - mz, mz - boxes[at, 5], 0.0)
        inside = gx * gx + gy * gy + gz * gz <= filled * filled
        if inside:
            for k in range(5):
                reach = (
                    walls[k, 0] * boxes[at, 3 if walls[k, 0] >= 0.0 else 0]
                    + walls[k, 1] * boxes[at, 4 if walls[k, 1] >= 0.0 else 1]
                    + walls[k, 2] * boxes[at, 5 if walls[k, 2] >= 0.0 else 2]
                )
                if reach < walls[k, 3]:
                    inside = False
                    break
        if not inside:
            at = links[at, 0]
            continue
        first = links[at, 1]
        for p in range(first, first + links[at, 2]):
            seen = scene.seen[scene.piece_face[p]]
            if not seen & mask:
                continue
            outside = False
            for k in range(5):
                best = -np.inf
                for q in range(4):
                    best = max(
                        best, walls[k, 0] * quads[p, q, 0] + walls[k, 1] * quads[p, q, 1] + walls[k, 2] * quads[p, q, 2]
                    )
                if best < walls[k, 3]:
                    outside = True
                    break
            if outside:
                continue
            gap = 0.0
            for k, o in enumerate((mx, my, mz)):
                lo = min(min(quads[p, 0, k], quads[p, 1, k]), min(quads[p, 2, k], quads[p, 3, k]))
                hi = max(max(quads[p, 0, k], quads[p, 1, k]), max(quads[p, 2, k], quads[p, 3, k]))
                g = max(lo - o, o - hi, 0.0)
                gap += g * g
            ahead = planes[p, 3] - planes[p, 0] * mx - planes[p, 1] * my - planes[p, 2] * mz
            sign = 1.0 if ahead >= 0.0 else -1.0
            steepest = -1.0
            for k in range(4):
                slant = planes[p, 0] * ends[k, 3] + planes[p, 1] * ends[k, 4] + planes[p, 2] * ends[k, 5]
                steepest = max(steepest, sign * slant)
            ahead = abs(ahead) - off
            if ahead > 0.0 and steepest <= 0.0:
                continue
            gap = max(math.sqrt(gap) - off, ahead * narrow / steepest if ahead > 0.0 else 0.0)
            if gap > filled:
                continue
            if count == _MOST:
                return -1, False
            found[count] = p
            nearest[count] = gap
            count += 1
            if (seen & ALL_SHOTS) != ALL_SHOTS:
                alike = False
                continue
            farthest = 0.0
            for k in range(4):
                t = way_to(
                    planes, p, ends[k, 0], ends[k, 1], ends[k, 2], ends[k, 3], ends[k, 4], ends[k, 5], -1e-4, np.inf
                )
                farthest = max(farthest, t)
            if farthest < np.inf:
                filled = min(filled, farthest + 4.0 * off)
        at += 1
    kept = 0
    for i in range(count):
        if nearest[i] <= filled:
            found[kept] = found[i]
            kept += 1
    return kept, alike


@woven
def _first(
    scene: Any, found: Rows, count: int, bit: int,
    ox: float, oy: float, oz: float, dx: float, dy: float, dz: float,
) -> tuple[int, float]:  # fmt: skip
    """The first face along a ray of a tile, and its distance."""
    if count < 0:
        return first_hit(scene, ox, oy, oz, dx, dy, dz, bit)
    best = np.inf
    face = -1
    for i in range(count):
        p = found[i]
        t = way_to(scene.planes, p, ox, oy, oz, dx, dy, dz, EDGE, best)
        if t < best:
            f = scene.piece_face[p]
            if scene.seen[f] & bit:
                best = t
                face = f
    return face, best


@woven
def _light(
    scene: Any, lit: Any, face: int, t: float,
    ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, foot: float, bit: int,
) -> tuple[float, float, float, float, int]:  # fmt: skip
    """As ``radiance_from``, with the sun's disc where it stands in the open."""
    r, g, b, way, last = radiance_from(scene, lit, face, t, ox, oy, oz, dx, dy, dz, foot, bit)
    if last < 0:
        gap = 1.0 - (dx * lit.toward_sun[0] + dy * lit.toward_sun[1] + dz * lit.toward_sun[2])
        if gap < 0.5 * SUN_RADIUS_RAD**2:
            k = 1.0 / SUN_RADIUS_RAD**2
            r, g, b = r + k * lit.sun[0], g + k * lit.sun[1], b + k * lit.sun[2]
    return r, g, b, way, last


@kernel
def _tile(
    scene: Any, lit: Any, row: Rows, bit: int, width: int, c: int, r: int, step: int, found: Rows, count: int,
    across: Rows, hit: Rows, colour: Rows, last: Rows, way: Rows,
) -> None:  # fmt: skip
    """One tile whose upper left pixel is (c, r), for one exposure: colours, last faces and lengths of the ways.

    Of each row every ``step``-th pixel is traced, and the first beyond the tile; the others lie between.
    """
    foot = 2.0 * math.pi / width
    for i in range(_SIDE):
        lon = (c + i - 0.5) * foot - math.pi - row[25]
        across[i, 0], across[i, 1] = math.cos(lon), -math.sin(lon)
    for j in range(_SIDE):
        lat = 0.5 * math.pi - (r + j - 0.5) * foot
        level, z = math.cos(lat), math.sin(lat)
        for i in range(_SIDE):
            if i > 0 and (i - 1) % step != 0:
                continue
            ox, oy, oz, dx, dy, dz, _ = believed_ray(row, level * across[i, 0], level * across[i, 1], z)
            face, t = _first(scene, found, count, bit, ox, oy, oz, dx, dy, dz)
            hit[j, i] = face
            if 0 < i <= TILE + (step > 1) and 0 < j <= TILE:
                red, green, blue, length, at = _light(scene, lit, face, t, ox, oy, oz, dx, dy, dz, foot, bit)
                colour[j - 1, i - 1, 0], colour[j - 1, i - 1, 1], colour[j - 1, i - 1, 2] = red, green, blue
                last[j - 1, i - 1] = at
                way[j - 1, i - 1] = length
    for j in range(TILE):
        for i in range(0, TILE, step):
            if not _on_rim(scene, hit, last, j, i, step):
                continue
            red = green = blue = 0.0
            for k in range(4):
                x = (0.375 - 0.25 * k) * step
                y = (0.125, 0.375, -0.375, -0.125)[k]
                ox, oy, oz, dx, dy, dz, _ = pixel_ray(row, width, c + i + x, r + j + y)
                face, t = _first(scene, found, count, bit, ox, oy, oz, dx, dy, dz)
                r1, g1, b1, _, _ = _light(scene, lit, face, t, ox, oy, oz, dx, dy, dz, 0.5 * foot, bit)
                red, green, blue = red + 0.25 * r1, green + 0.25 * g1, blue + 0.25 * b1
            colour[j, i, 0], colour[j, i, 1], colour[j, i, 2] = red, green, blue
    if step > 1:
        _fill(colour, last, way, step)


@kernel
def _fill(colour: Rows, last: Rows, way: Rows, step: int) -> None:
    """Pixels between those that were traced: colours between their neighbours', faces of the nearer one."""
    for j in range(TILE):
        for i in range(TILE):
            part = i % step
            if part == 0:
                continue
            a, b = i - part, i - part + step
            share = part / step
            for k in range(3):
                colour[j, i, k] = colour[j, a, k] + share * (colour[j, b, k] - colour[j, a, k])
            near = a if 2 * part <= step else b
            last[j, i], way[j, i] = last[j, near], way[j, near]


@woven
def _on_rim(scene: Any, hit: Rows, last: Rows, j: int, i: int, step: int) -> bool:
    """Whether a neighbour of pixel (i, j) of a tile shows another face; behind glass and in mirrors, in the end."""
    f = hit[j + 1, i + 1]
    before = max(i + 1 - step, 0)
    if hit[j + 1, before] != f or hit[j + 1, i + 1 + step] != f or hit[j, i + 1] != f or hit[j + 2, i + 1] != f:
        return True
    if f < 0:
        return False
    optic = scene.finishes[scene.finish[f], 11]
    if optic != MIRROR and optic != GLASS:
        return False
    g = last[j, i]
    return bool(
        (i > 0 and last[j, i - step] != g)
        or (i < TILE - step and last[j, i + step] != g)
        or (j > 0 and last[j - 1, i] != g)
        or (j < TILE - 1 and last[j + 1, i] != g)
    )


@woven
def _step_of(lat: float) -> int:
    """Every how manieth pixel of a row is traced so far from eye level, where columns crowd together."""
    level = math.cos(lat)
    return 1 if level > 0.5 else 2 if level > 0.25 else 4 if level > 0.125 else 8


@njit(nogil=True, cache=True)
def render_rows(
    scene: Any, lit: Any, quads: Rows, row: Rows, masks: Rows, width: int, c0: int, r0: int,
    rgb: Rows, faces: Rows, ways: Rows, at: int, from_column: int, to_column: int, from_row: int, to_row: int,
) -> None:  # fmt: skip
    """Tiles of one heading's layer, which begins at column ``at`` of ``rgb`` (h, w, 3) [cd/m2], ``faces`` (h, w) and
    ``ways`` (h, w) [m].

    The layer's upper left pixel is (c0, r0) of the whole frame; r0, c0 and h are multiples of ``TILE``, and so are the
    columns and rows of the layer from and to which it goes. ``masks`` are the shots that the heading's exposures see.
    """
    foot = 2.0 * math.pi / width
    found = np.empty(_MOST, np.int64)
    desk = np.empty((9 + _MOST, 6))
    across = np.empty((_SIDE, 2))
    hit = np.empty((_SIDE, _SIDE), np.int64)
    colour = np.empty((TILE, TILE + 1, 3))
    last = np.empty((TILE, TILE + 1), np.int64)
    way = np.empty((TILE, TILE + 1))
    every = masks[0]
    for e in range(1, masks.shape[0]):
        every |= masks[e]
    for top in range(from_row, to_row, TILE):
        flattest = max(abs(0.5 * math.pi - (r0 + top - 1.5) * foot), abs(0.5 * math.pi - (r0 + top + TILE + 1) * foot))
        nearest = min(abs(0.5 * math.pi - (r0 + top) * foot), abs(0.5 * math.pi - (r0 + top + TILE) * foot))
        step = _step_of(nearest)
        for left in range(from_column, to_column, TILE):
            count, alike = -1, masks.shape[0] == 1
            if width >= _NARROWEST and flattest < _FLATTEST:
                count, alike = _list_pieces(scene, quads, row, width, c0 + left, r0 + top, step, every, found, desk)
            exposures = 1 if alike else masks.shape[0]
            for e in range(exposures):
                _tile(
                    scene, lit, row, masks[e], width, c0 + left, r0 + top, step, found, count,
                    across, hit, colour, last, way,
                )  # fmt: skip
                for j in range(TILE):
                    for i in range(TILE):
                        y, x = top + j, at + left + i
                        for k in range(3):
                            part = colour[j, i, k] / exposures
                            rgb[y, x, k] = part if e == 0 else rgb[y, x, k] + part
                        if e == 0:
                            faces[y, x] = last[j, i]
                            ways[y, x] = way[j, i]


__all__ = ["SUN_RADIUS_RAD", "TILE", "pixel_ray", "quads_of", "render_rows"]
