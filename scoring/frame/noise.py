"""Noise and stripes that fade out before they shimmer: the building blocks of every texture.

All lengths in metres. ``f`` is the footprint: how much of the surface one pixel takes in. What is finer than the
footprint is replaced by its mean, so that a texture looks the same from far off, only softer.
"""

from __future__ import annotations

import math

from numba import njit


@njit(nogil=True, cache=True, inline="always")
def chance(i: int, j: int, seed: int) -> float:
    """A number in 0..1 that depends on a lattice point and a seed."""
    h = i * 374761393 + j * 668265263 + seed * 974634777
    h = (h ^ (h >> 13)) * 1274126177
    h = (h ^ (h >> 16)) * 1911520717
    return ((h ^ (h >> 15)) & 0xFFFF) / 65535.0


@njit(nogil=True, cache=True, inline="always")
def kept(wave: float, f: float) -> float:
    """How much of a pattern of that wavelength a pixel still shows: 1 below a third of it, 0 above two thirds."""
    x = 2.0 - 3.0 * f / wave
    return 0.0 if x <= 0.0 else (1.0 if x >= 1.0 else x)


@njit(nogil=True, cache=True)
def noise(x: float, y: float, seed: int) -> float:
    """Smooth noise over a unit lattice, -1..1."""
    fx, fy = math.floor(x), math.floor(y)
    i, j = int(fx), int(fy)
    a, b = x - fx, y - fy
    a = a * a * (3.0 - 2.0 * a)
    b = b * b * (3.0 - 2.0 * b)
    low = chance(i, j, seed) + a * (chance(i + 1, j, seed) - chance(i, j, seed))
    high = chance(i, j + 1, seed) + a * (chance(i + 1, j + 1, seed) - chance(i, j + 1, seed))
    return 2.0 * (low + b * (high - low)) - 1.0


@njit(nogil=True, cache=True)
def grain(x: float, y: float, wave: float, octaves: int, f: float, seed: int) -> float:
    """Noise of several octaves from a wavelength downward, each half as strong, faded by the footprint."""
    total = 0.0
    strong = 0.5
    for k in range(octaves):
        keep = kept(wave, f)
        if keep <= 0.0:
            break
        total += strong * keep * noise(x / wave, y / wave, seed + k)
        strong *= 0.55
        wave *= 0.5
    return total


@njit(nogil=True, cache=True)
def lines(x: float, every: float, wide: float, f: float) -> float:
    """Share of a pixel at x covered by lines of that width that start at each multiple of ``every``; exact."""
    if f < 1e-6:
        f = 1e-6
    x1 = (x + 0.5 * f) / every
    x0 = (x - 0.5 * f) / every
    w = wide / every
    n1, n0 = math.floor(x1), math.floor(x0)
    return ((n1 - n0) * w + min(x1 - n1, w) - min(x0 - n0, w)) * every / f


@njit(nogil=True, cache=True)
def edge(x: float, at: float, f: float) -> float:
    """Share of a pixel at x that lies beyond ``at``."""
    s = (x - at) / max(f, 1e-6) + 0.5
    return 0.0 if s <= 0.0 else (1.0 if s >= 1.0 else s)


__all__ = ["chance", "edge", "grain", "kept", "lines", "noise"]
