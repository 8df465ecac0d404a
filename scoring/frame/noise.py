"""Noise and stripes that fade out before they shimmer: the building blocks of every texture.

All lengths in metres. ``f`` is the footprint: how much of the surface one pixel takes in; ``lf`` is its logarithm
to base 2. What is finer than the footprint is replaced by its mean, so that a texture looks the same from far off,
only softer. Noise comes from one square tile that repeats without a seam and is kept at ten sizes, each half as wide
as the last, one after another in a flat array::

    size    SIDE          SIDE/2     SIDE/4 ...      a wavelength is WAVE texels of the first size
    offset  0             SIDE^2     SIDE^2 5/4 ...  = (SIDE^2 - side^2) 4/3
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.kernels import kernel

SIDE = 512
WAVE = 32
"""Texels of the longest wavelength in the tile; the shortest is a sixteenth of it."""
SIZES = 9
"""Sizes of the tile that are read; beyond the last all is mean."""


@cache
def tile() -> NDArray[np.float32]:
    """The tile at all its sizes: five octaves, each a little over half as strong as the last; mean 0, peak about 1."""
    dice = np.random.Generator(np.random.PCG64(20))
    at = np.arange(SIDE)
    total = np.zeros((SIDE, SIDE))
    strong = 1.0
    step = WAVE
    while step >= 2:
        lattice = dice.uniform(-1.0, 1.0, (SIDE // step, SIDE // step))
        i, part = at // step, (at % step) / step
        j = (i + 1) % len(lattice)
        w = part * part * part * (part * (6.0 * part - 15.0) + 10.0)
        rows = lattice[i] * (1.0 - w[:, None]) + lattice[j] * w[:, None]
        total += strong * (rows[:, i] * (1.0 - w) + rows[:, j] * w)
        strong *= 0.6
        step //= 2
    total -= total.mean()
    total *= 0.42 / total.std()
    sizes = []
    while True:
        sizes.append(total.astype(np.float32).ravel())
        if len(total) == 1:
            return np.concatenate(sizes)
        total = 0.25 * (total[::2, ::2] + total[1::2, ::2] + total[::2, 1::2] + total[1::2, 1::2])


@kernel
def _between(tiles: Any, k: int, x: float, y: float) -> float:
    """The tile at size k, bilinear; x and y in texels of the first size."""
    side = SIDE >> k
    mask = side - 1
    first = (SIDE * SIDE - side * side) // 3 * 4
    shrink = 1.0 / (1 << k)
    x = (x + 0.5) * shrink - 0.5
    y = (y + 0.5) * shrink - 0.5
    fx, fy = math.floor(x), math.floor(y)
    i, j = int(fx), int(fy)
    a, b = x - fx, y - fy
    i0, i1 = i & mask, (i + 1) & mask
    j0, j1 = first + (j & mask) * side, first + ((j + 1) & mask) * side
    low = tiles[j0 + i0] + a * (tiles[j0 + i1] - tiles[j0 + i0])
    high = tiles[j1 + i0] + a * (tiles[j1 + i1] - tiles[j1 + i0])
    return float(low + b * (high - low))


@kernel
def grain(tiles: Any, u: float, v: float, wave: float, lf: float, seed: int) -> float:
    """Noise from a wavelength [m] down to a sixteenth of it, about -1..1, faded by the footprint."""
    scale = WAVE / wave
    x = u * scale + ((seed * 197) & 511)
    y = v * scale + ((seed * 311) & 511)
    level = lf + math.log2(scale) + 0.4
    if level <= 0.0:
        return _between(tiles, 0, x, y)
    if level >= SIZES - 1.0:
        return 0.0
    k = int(level)
    part = level - k
    return (1.0 - part) * _between(tiles, k, x, y) + part * _between(tiles, k + 1, x, y)


@kernel
def chance(i: int, j: int, seed: int) -> float:
    """A number in 0..1 that depends on a lattice point and a seed."""
    h = i * 374761393 + j * 668265263 + seed * 974634777
    h = (h ^ (h >> 13)) * 1274126177
    h = (h ^ (h >> 16)) * 1911520717
    return ((h ^ (h >> 15)) & 0xFFFF) / 65535.0


@kernel
def kept(wave: float, f: float) -> float:
    """How much of a pattern of that wavelength a pixel still shows: 1 below a third of it, 0 above two thirds."""
    x = 2.0 - 3.0 * f / wave
    return 0.0 if x <= 0.0 else (1.0 if x >= 1.0 else x)


@kernel
def noise(x: float, y: float, seed: int) -> float:
    """Smooth noise over a unit lattice, -1..1, of one octave."""
    fx, fy = math.floor(x), math.floor(y)
    i, j = int(fx), int(fy)
    a, b = x - fx, y - fy
    a = a * a * (3.0 - 2.0 * a)
    b = b * b * (3.0 - 2.0 * b)
    low = chance(i, j, seed) + a * (chance(i + 1, j, seed) - chance(i, j, seed))
    high = chance(i, j + 1, seed) + a * (chance(i + 1, j + 1, seed) - chance(i, j + 1, seed))
    return 2.0 * (low + b * (high - low)) - 1.0


@kernel
def lines(x: float, every: float, wide: float, f: float) -> float:
    """Share of a pixel at x covered by lines of that width that start at each multiple of ``every``; exact."""
    f = max(f, 1e-6)
    x1 = (x + 0.5 * f) / every
    x0 = (x - 0.5 * f) / every
    w = wide / every
    n1, n0 = math.floor(x1), math.floor(x0)
    return ((n1 - n0) * w + min(x1 - n1, w) - min(x0 - n0, w)) * every / f


@kernel
def edge(x: float, at: float, f: float) -> float:
    """Share of a pixel at x that lies beyond ``at``."""
    s = (x - at) / max(f, 1e-6) + 0.5
    return 0.0 if s <= 0.0 else (1.0 if s >= 1.0 else s)


__all__ = ["chance", "edge", "grain", "kept", "lines", "noise", "tile"]
