"""Reflectance of a surface at a point: computed, the same on every machine, softer with a larger footprint.

Each pattern takes (u, v) and the footprint along u and v, all in metres, and gives how the finish's colour is
multiplied and how much of the second colour shows.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.finishes import (
    ASPHALT,
    BARK,
    BOOKS,
    BRICK,
    CARPET,
    GRASS,
    GRAVEL,
    LEAVES,
    METAL,
    PANEL,
    PAPER,
    PICTURE,
    PLAIN,
    PLANK,
    PLASTER,
    ROOFING,
    RUG,
    SHINGLE,
    STONE,
    TILE,
    WATER,
    WEAVE,
    WOOD,
    Finish,
    table,
)
from scoring.frame.kernels import kernel
from scoring.frame.noise import chance, edge, grain, kept, lines, noise, tile


@kernel
def reflectance(
    finishes: Any, k: int, tiles: Any, u: float, v: float, fu: float, fv: float
) -> tuple[float, float, float]:
    """RGB reflectance of row k of the finishes at (u, v) [m], seen with a footprint of fu by fv [m]."""
    pattern = int(finishes[k, 0])
    r, g, b = finishes[k, 1], finishes[k, 2], finishes[k, 3]
    if pattern == PLAIN:
        return r, g, b
    seed = int(finishes[k, 10])
    su, sv = finishes[k, 7], finishes[k, 8]
    strong = finishes[k, 9]
    f = max(fu, fv, 1e-6)
    lf = math.log2(f)
    tone = 1.0
    second = 0.0
    if pattern == PLASTER:
        tone += strong * (0.05 * grain(tiles, u, v, 1.4, lf, seed) + 0.10 * grain(tiles, u, v, 0.02, lf, seed + 7))
    elif pattern == PLANK:
        row = math.floor(v / sv)
        shift = chance(row, 3, seed) * su
        cell = math.floor((u + shift) / su)
        own = cell * 31 + row
        tone += strong * kept(sv, fv) * 0.75 * (chance(cell, row, seed) - 0.5)
        lg = math.log2(max(fv, fu / 12.0, 1e-6))
        tone += strong * 0.55 * grain(tiles, u / 12.0 + own * 0.37, v, 0.05, lg, seed + 5)
        a = lines(v, sv, 0.0025, fv)
        c = lines(u + shift, su, 0.0025, fu)
        second = a + c - a * c
    elif pattern == TILE:
        i, j = math.floor(u / su), math.floor(v / sv)
        tone += strong * 0.35 * kept(su, fu) * kept(sv, fv) * (chance(i, j, seed) - 0.5)
        tone += strong * 0.3 * grain(tiles, u + 3.1 * i, v + 1.7 * j, 0.25, lf, seed + 3)
        joint = 0.004 if su > 0.25 else 0.0025
        a, c = lines(u, su, joint, fu), lines(v, sv, joint, fv)
        second = a + c - a * c
    elif pattern == BRICK:
        row = math.floor(v / sv)
        shift = 0.5 * su * (row & 1)
        cell = math.floor((u + shift) / su)
        tone += strong * kept(su, fu) * kept(sv, fv) * 0.7 * (chance(cell, row, seed) - 0.5)
        tone += strong * 0.35 * grain(tiles, u, v, 0.06, lf, seed)
        a, c = lines(v, sv, 0.010, fv), lines(u + shift, su, 0.010, fu)
        second = a + c - a * c
    elif pattern == CARPET:
        tone += strong * (0.12 * grain(tiles, u, v, 0.9, lf, seed) + 0.45 * grain(tiles, u, v, 0.016, lf, seed + 2))
        tone += strong * 0.35 * kept(0.008, f) * math.sin(u * 785.4) * math.sin(v * 785.4)
    elif pattern == PAPER:
        second = _paper(u, v, fu, fv, su, sv, seed) * strong
        tone += 0.05 * grain(tiles, u, v, 0.03, lf, seed)
    elif pattern == WEAVE:
        tone += strong * (0.25 * grain(tiles, u, v, 0.35, lf, seed) + 0.3 * grain(tiles, u, v, 0.02, lf, seed + 4))
        keep = kept(0.004, f)
        if keep > 0.0:
            tone += strong * 0.5 * keep * (math.sin(u * 1570.8) * math.sin(v * 1570.8))
    elif pattern == WOOD:
        lg = math.log2(max(fv, fu / 12.0, 1e-6))
        tone += strong * 0.7 * grain(tiles, u / 12.0, v, 0.07, lg, seed)
        tone += strong * 0.25 * grain(tiles, u / 5.0, v, 0.22, lg, seed + 9)
    elif pattern == BOOKS:
        return _books(finishes, k, u, v, fu, fv, seed)
    elif pattern == GRASS:
        blades = 0.7 * grain(tiles, u * 1.6, v, 0.05, lf + 0.68, seed + 6)
        blades += 0.7 * grain(tiles, u, v * 1.5, 0.16, lf + 0.58, seed + 12)
        tone += strong * (0.35 * grain(tiles, u, v, 3.1, lf, seed) + blades)
        yellow = min(1.0, max(0.0, 0.35 + 0.6 * grain(tiles, u, v, 1.1, lf, seed + 2)))
        r += (finishes[k, 4] - r) * yellow
        g += (finishes[k, 5] - g) * yellow
        b += (finishes[k, 6] - b) * yellow
    elif pattern == GRAVEL:
        i, j = math.floor(u / su), math.floor(v / sv)
        tone += strong * 0.7 * grain(tiles, u, v, su * 2.0, lf, seed)
        tone += strong * 0.2 * grain(tiles, u, v, 1.4, lf, seed + 8)
        second = 0.5 * strong * kept(su, f) * chance(i, j, seed)
    elif pattern == LEAVES:
        leaf = grain(tiles, u, v, su * 3.0, lf, seed)
        clump = grain(tiles, u, v, su * 9.0, lf, seed + 3)
        tone += strong * (0.8 * clump + 1.0 * leaf)
        second = 0.35 - 1.2 * leaf - 0.5 * clump
    elif pattern == PICTURE:
        return _picture(finishes, k, u / su, v / sv, max(fu / su, fv / sv), seed)
    elif pattern == STONE:
        tone += strong * 0.5 * grain(tiles, u, v, 0.03, lf, seed + 4)
        vein = abs(grain(tiles, u, v, 0.5, lf, seed))
        second = strong * max(0.0, 1.0 - 9.0 * vein) * kept(0.1, f)
    elif pattern == METAL:
        lg = math.log2(max(fv, fu / 40.0, 1e-6))
        tone += strong * 0.2 * grain(tiles, u / 40.0, v, 0.008, lg, seed) + 0.04 * grain(tiles, u, v, 0.5, lf, seed)
    elif pattern == WATER:
        second = 0.5 + 0.5 * grain(tiles, u, v, 0.6, lf, seed)
        tone += 0.35 * (lines(u, 0.3, 0.01, fu) + lines(v, 0.3, 0.01, fv))
    elif pattern == BARK:
        lg = math.log2(max(fu, fv / 6.0, 1e-6))
        tone += strong * 0.9 * grain(tiles, u, v / 6.0, 0.05, lg, seed)
    elif pattern == RUG:
        r, g, b = _rug(finishes, k, u, v, fu, fv)
        tone += 0.35 * grain(tiles, u, v, 0.02, lf, seed) + 0.1 * grain(tiles, u, v, 0.5, lf, seed + 3)
    elif pattern == ASPHALT:
        tone += strong * (0.5 * grain(tiles, u, v, 0.02, lf, seed) + 0.25 * grain(tiles, u, v, 1.3, lf, seed + 1))
    elif pattern == PANEL:
        a, c = lines(u, su, 0.004, fu), lines(v, sv, 0.004, fv)
        second = a + c - a * c
        tone += 0.03 * grain(tiles, u, v, 0.4, lf, seed)
    elif pattern in (SHINGLE, ROOFING):
        row = math.floor(v / 0.16)
        cell = math.floor((u + 0.11 * (row & 1)) / 0.22)
        tone += 0.45 * kept(0.16, f) * (chance(cell, row, seed) - 0.5) - 0.5 * lines(v, 0.16, 0.018, fv)
    tone = max(0.05, tone)
    second = min(1.0, max(0.0, second))
    r = r * tone
    g = g * tone
    b = b * tone
    r = r + (finishes[k, 4] - r) * second
    g = g + (finishes[k, 5] - g) * second
    b = b + (finishes[k, 6] - b) * second
    return min(r, 0.92), min(g, 0.92), min(b, 0.92)


@kernel
def _paper(u: float, v: float, fu: float, fv: float, su: float, sv: float, seed: int) -> float:
    """A wallpaper's figure: stripes, or lozenges with a dot, by the seed; share of the second colour."""
    if seed % 3 == 0:
        wide = su * 0.25
        return lines(u, su * 0.5, wide, fu) * 0.8 + 0.6 * lines(u + su * 0.06, su * 0.5, 0.006, fu)
    f = max(fu, fv)
    keep = kept(su * 0.25, f)
    x, y = u / su, v / sv
    shift = 0.5 * (math.floor(y) & 1)
    x -= math.floor(x + shift) - shift
    y -= math.floor(y)
    x, y = x - 0.5, y - 0.5
    bend = 0.28 + 0.14 * math.cos(9.0 * y)
    stem = abs(x - 0.12 * math.sin(6.2832 * y))
    leaf = (x * x) / (bend * bend * 0.16) + (y * y) / 0.09
    soft = max(f / su, 0.01)
    inside = edge(1.0, leaf, soft * 6.0)
    ring = edge(1.0, leaf * 2.6, soft * 9.0)
    line = edge(0.02, stem, soft)
    figure = max(inside - 0.6 * ring, 0.8 * line)
    return figure * keep + 0.3 * (1.0 - keep)


@kernel
def _books(finishes: Any, k: int, u: float, v: float, fu: float, fv: float, seed: int) -> tuple[float, float, float]:
    """Spines standing on a shelf: v from 0 at the board to the shelf's height (scale v)."""
    mean = 0.034
    i = math.floor(u / mean)
    for _ in range(1):
        left = (i + 0.7 * (chance(int(i), 1, seed) - 0.5)) * mean
        right = (i + 1 + 0.7 * (chance(int(i) + 1, 1, seed) - 0.5)) * mean
        if u < left:
            i -= 1
        elif u > right:
            i += 1
    n = int(i)
    left = (n + 0.7 * (chance(n, 1, seed) - 0.5)) * mean
    right = (n + 1 + 0.7 * (chance(n + 1, 1, seed) - 0.5)) * mean
    tall = finishes[k, 8] * (0.62 + 0.3 * chance(n, 2, seed))
    group = n // 5
    hue = chance(n, 4, seed) * 0.6 + chance(group, 5, seed) * 0.8
    light = 0.10 + 0.34 * chance(n, 6, seed) ** 2
    r = light * (1.0 + 0.35 * math.cos(6.2832 * hue))
    g = light * (0.84 + 0.20 * math.cos(6.2832 * (hue - 0.22)))
    b = light * (0.70 + 0.30 * math.cos(6.2832 * (hue - 0.55)))
    if chance(n, 9, seed) > 0.45:
        band = lines(v - tall * 0.78, 10.0, tall * 0.06, fv) + lines(v - tall * 0.2, 10.0, tall * 0.04, fv)
        r, g, b = r + (0.5 - r) * band, g + (0.42 - g) * band, b + (0.26 - b) * band
    across = (u - left) / max(right - left, 0.004)
    round_ = 0.55 + 0.45 * min(1.0, 6.0 * min(across, 1.0 - across) + fu / mean)
    above = edge(v, tall, fv)
    keep = kept(mean * 2.0, fu)
    r, g, b = r * round_, g * round_, b * round_
    r, g, b = r * keep + 0.17 * (1.0 - keep), g * keep + 0.14 * (1.0 - keep), b * keep + 0.11 * (1.0 - keep)
    back = 0.35
    r = r + (finishes[k, 1] * back - r) * above
    g = g + (finishes[k, 2] * back - g) * above
    b = b + (finishes[k, 3] * back - b) * above
    return r, g, b


@kernel
def _picture(finishes: Any, k: int, x: float, y: float, f: float, seed: int) -> tuple[float, float, float]:
    """A painted landscape or a composition of plain shapes, x and y in 0..1."""
    if seed % 2 == 0:
        hill = 0.38 + 0.18 * noise(x * 2.3, 0.5, seed) + 0.04 * noise(x * 9.0, 1.5, seed)
        near = 0.20 + 0.14 * noise(x * 1.7, 3.5, seed + 1)
        sky = 0.45 + 0.35 * y
        r, g, b = 0.75 - 0.3 * (y - 0.4), 0.66 - 0.1 * (y - 0.4), 0.52 + 0.25 * (y - 0.4)
        cloud = max(0.0, noise(x * 3.0, y * 7.0, seed + 4)) * 0.3
        r, g, b = r + (0.8 - r) * cloud, g + (0.78 - g) * cloud, b + (0.74 - b) * cloud
        m = edge(hill, y, f + 0.01)
        r, g, b = r + (0.24 * sky - r) * m, g + (0.31 * sky - g) * m, b + (0.36 * sky - b) * m
        m = edge(near, y, f + 0.01)
        t = 0.8 + 0.5 * noise(x * 14.0, y * 20.0, seed + 6) * kept(0.05, f)
        return r + (0.22 * t - r) * m, g + (0.20 * t - g) * m, b + (0.09 * t - b) * m
    r, g, b = finishes[k, 1], finishes[k, 2], finishes[k, 3]
    for i in range(4):
        cx, cy = chance(i, 1, seed), chance(i, 2, seed)
        size = 0.15 + 0.25 * chance(i, 3, seed)
        off = math.hypot(x - cx, y - cy) if i % 2 == 0 else max(abs(x - cx), abs(y - cy) * 0.7)
        m = edge(size, off, f + 0.004) * 0.85
        hue = chance(i, 4, seed)
        light = 0.12 + 0.4 * chance(i, 5, seed)
        r += (light * (1.0 + 0.5 * math.cos(6.2832 * hue)) - r) * m
        g += (light * (0.9 + 0.3 * math.cos(6.2832 * (hue - 0.3))) - g) * m
        b += (light * (0.85 + 0.4 * math.cos(6.2832 * (hue - 0.6))) - b) * m
    t = 1.0 + 0.15 * noise(x * 40.0, y * 40.0, seed) * kept(0.025, f)
    return r * t, g * t, b * t


@kernel
def _rug(finishes: Any, k: int, u: float, v: float, fu: float, fv: float) -> tuple[float, float, float]:
    """A woven rug of size scale u by scale v: a border and a lattice of lozenges."""
    f = max(fu, fv)
    su, sv = finishes[k, 7], finishes[k, 8]
    rim = min(u, su - u, v, sv - v)
    border = edge(rim, 0.05, f) - edge(rim, 0.14, f) + 0.7 * (edge(rim, 0.17, f) - edge(rim, 0.19, f))
    x, y = u / 0.36, v / 0.36
    x, y = abs(x - math.floor(x) - 0.5), abs(y - math.floor(y) - 0.5)
    keep = kept(0.18, f)
    figure = (edge(0.42, x + y, f / 0.36) - edge(0.34, x + y, f / 0.36) + edge(0.14, x + y, f / 0.36)) * keep
    m = min(1.0, border + figure * edge(rim, 0.24, f) + 0.25 * (1.0 - keep))
    r = finishes[k, 1] + (finishes[k, 4] - finishes[k, 1]) * m
    g = finishes[k, 2] + (finishes[k, 5] - finishes[k, 2]) * m
    b = finishes[k, 3] + (finishes[k, 6] - finishes[k, 3]) * m
    return r, g, b


def swatch(finish: Finish, width_px: int, height_px: int, wide_m: float) -> NDArray[np.float64]:
    """A finish laid out flat, ``wide_m`` across: reflectances, shape (height_px, width_px, 3)."""
    out = np.empty((height_px, width_px, 3))
    _swatch(table([finish]), tile(), wide_m / width_px, out)
    return out


@kernel
def _swatch(finishes: Any, tiles: Any, step: float, out: Any) -> None:
    for j in range(out.shape[0]):
        for i in range(out.shape[1]):
            x, y = (i + 0.5) * step, (out.shape[0] - j - 0.5) * step
            out[j, i, 0], out[j, i, 1], out[j, i, 2] = reflectance(finishes, 0, tiles, x, y, step, step)


__all__ = ["reflectance", "swatch"]
