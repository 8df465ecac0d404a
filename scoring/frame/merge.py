"""The merger: the headings' layers through their lenses and their sensor, joined at soft seams into the frame.

Per pixel and heading: keep x L + stray light, exposure and colour setting, noise, the curve to what is shown; then the
mean of the headings by their weights. A plain disc covers the tripod at the nadir; what is seen under it is kept apart
in ``faces``, as nothing is hidden from measuring.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.film import REACH_DEG, STEP_DEG
from scoring.frame.kernels import kernel, woven

Rows = NDArray[Any]

COVER_GREY = 0.46
"""Share that the disc over the tripod is written with."""
COVER_EDGE_RAD = 0.004
_STRAIGHT = 1e-6
"""Nearer to the lens axis than this [rad] an angle is its own sine."""
BLACK = -3
"""The face where nothing was taken."""


@njit(nogil=True, cache=True)
def merge_rows(
    layer: Rows, soft: Rows, layer_faces: Rows, layer_ways: Rows, layer_top: int,
    heads: Rows, columns: Rows, shares: Rows, offs: Rows, taken: Rows,
    glass: Rows, even: Rows, gains: Rows,
    shown: Rows, noise: Rows, code: Rows, colourful: float, cover_rad: float, seed: int,
    width: int, left: int, top: int, first: int, last: int,
    rgb: Rows, linear: Rows, faces: Rows, ways: Rows, whose: Rows, weight: Rows,
) -> None:  # fmt: skip
    """Rows first..last of a window. For each of its columns two headings at most: ``heads`` (w, 2) with -1 for none,
    their layer columns, shares and azimuths off their middles [rad]. ``glass`` (K, M, M, 5) are the lenses' maps."""
    top_code = code.shape[0] - 1
    one = np.empty(1, np.float32)
    bits = one.view(np.uint32)
    light = np.empty(3)
    part = np.empty(3)
    stirred = np.empty(3)
    ahead_of, left_of = np.cos(offs), np.sin(offs)
    for j in range(first, last):
        r = top + j
        lat = 0.5 * math.pi - (r + 0.5) * 2.0 * math.pi / width
        level, z = math.cos(lat), math.sin(lat)
        y = r - layer_top
        cover = min(1.0, max(0.0, (cover_rad - (lat + 0.5 * math.pi)) / COVER_EDGE_RAD + 0.5))
        for i in range(rgb.shape[1]):
            written0 = written1 = written2 = 0.0
            linear[j, i, 0] = linear[j, i, 1] = linear[j, i, 2] = 0.0
            best = -1.0
            for s in range(2):
                k = heads[i, s]
                if k < 0:
                    continue
                share = shares[i, s]
                if share > best:
                    best = share
                    whose[j, i] = k
                    weight[j, i] = share
                    faces[j, i] = layer_faces[y, columns[i, s]] if taken[k] else BLACK
                    ways[j, i] = layer_ways[y, columns[i, s]] if taken[k] else np.inf
                if not taken[k]:
                    continue
                x = columns[i, s]
                for c in range(3):
                    light[c] = layer[y, x, c]
                if even[k]:
                    for c in range(3):
                        light[c] = light[c] * glass[k, 0, 0, 0] + glass[k, 0, 0, 2 + c]
                else:
                    ahead = min(max(level * ahead_of[i, s], -1.0), 1.0)
                    across = math.sqrt(1.0 - ahead * ahead)
                    t = math.degrees(math.acos(ahead) / across if across > _STRAIGHT else 1.0)
                    _through(light, soft, y, x, glass, k, -t * level * left_of[i, s], t * z)
                stir(stirred, r, (left + i) % width, k, seed)
                for c in range(3):
                    recorded = max(light[c] * gains[k, c], 0.0)
                    linear[j, i, c] += share * recorded
                    one[0] = recorded
                    one[0] = max(recorded + noise[bits[0] >> np.uint32(15)] * stirred[c], 0.0)
                    part[c] = shown[bits[0] >> np.uint32(15)]
                grey = 0.2126 * part[0] + 0.7152 * part[1] + 0.0722 * part[2]
                written0 += share * code[int(min(1.0, max(0.0, grey + colourful * (part[0] - grey))) * top_code + 0.5)]
                written1 += share * code[int(min(1.0, max(0.0, grey + colourful * (part[1] - grey))) * top_code + 0.5)]
                written2 += share * code[int(min(1.0, max(0.0, grey + colourful * (part[2] - grey))) * top_code + 0.5)]
            rgb[j, i, 0] = int(255.0 * (written0 + cover * (COVER_GREY - written0)) + 0.5)
            rgb[j, i, 1] = int(255.0 * (written1 + cover * (COVER_GREY - written1)) + 0.5)
            rgb[j, i, 2] = int(255.0 * (written2 + cover * (COVER_GREY - written2)) + 0.5)


@woven
def _through(light: Rows, soft: Rows, y: int, x: int, glass: Rows, k: int, left_deg: float, up_deg: float) -> None:
    """A pixel's light through the lens of heading k, at a place on the film's map, bilinear."""
    size = glass.shape[1]
    u = min(max((left_deg + REACH_DEG) / STEP_DEG - 0.5, 0.0), size - 1.001)
    v = min(max((up_deg + REACH_DEG) / STEP_DEG - 0.5, 0.0), size - 1.001)
    i, j = int(u), int(v)
    a, b = u - i, v - j
    w00, w10, w01, w11 = (1.0 - a) * (1.0 - b), a * (1.0 - b), (1.0 - a) * b, a * b
    keep = _mixed(glass, k, i, j, 0, w00, w10, w01, w11)
    m = _mixed(glass, k, i, j, 1, w00, w10, w01, w11) if soft.shape[0] > 1 else 0.0
    for c in range(3):
        if m > 0.0:
            light[c] += m * (soft[y, x, c] - light[c])
        light[c] = light[c] * keep + _mixed(glass, k, i, j, 2 + c, w00, w10, w01, w11)


@woven
def _mixed(of: Rows, k: int, i: int, j: int, c: int, w00: float, w10: float, w01: float, w11: float) -> float:
    above = w00 * of[k, j, i, c] + w10 * of[k, j, i + 1, c]
    return float(above + w01 * of[k, j + 1, i, c] + w11 * of[k, j + 1, i + 1, c])


@kernel
def stir(out: Rows, r: int, c: int, k: int, seed: int) -> None:
    """Three numbers of mean 0 and deviation 1 for a pixel of a heading: sums of three throws each, always the same."""
    h = np.uint64(seed) * np.uint64(0x9E3779B97F4A7C15)
    h ^= np.uint64(r) * np.uint64(0xC2B2AE3D27D4EB4F) + np.uint64(c) * np.uint64(0x165667B19E3779F9)
    h += np.uint64(k + 1) * np.uint64(0xD6E8FEB86659FD93)
    h = (h ^ (h >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    h = (h ^ (h >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    h ^= h >> np.uint64(31)
    for i in range(3):
        total = (h & np.uint64(127)) + ((h >> np.uint64(7)) & np.uint64(127)) + ((h >> np.uint64(14)) & np.uint64(127))
        out[i] = (float(total) - 190.5) / 64.0
        h >>= np.uint64(21)


__all__ = ["BLACK", "COVER_GREY", "merge_rows", "stir"]
