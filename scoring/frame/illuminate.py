"""Light on a scene at one hour: sky, sun and lamps, thrown to and fro until nothing moves, written on the lattice.

The ways of light (``paths``) are the scene's own; an hour only says how bright each cell of the sky is, where the sun
falls and whether lamps are lit. So a second hour of the same scene costs a small part of the first.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.balance import settle
from scoring.frame.finishes import LAMP
from scoring.frame.gather import SKY_COLUMNS, SKY_ROWS
from scoring.frame.lattice import ON
from scoring.frame.paths import Paths, find_paths
from scoring.frame.scene import Lit, Scene
from scoring.frame.solids import FLOOR
from scoring.frame.sun_patches import no_sun, sun_on_patches, sun_share
from scoring.light.lamps import fixed_lamps, table_lamp
from scoring.light.sky import SUN_RADIUS_DEG, Sky

SMOOTHINGS = 2
"""Passes that even out what the ordinary rays leave uneven between neighbouring nodes; what is sampled gets one."""


def illuminate(scene: Scene, sky: Sky, *, lamps: bool, paths: Paths | None = None) -> Lit:
    """All light on a scene under a sky, with its lamps lit or not.

    ``paths`` are those of ``find_paths(scene)``, to be kept where one scene is lit more than once.
    """
    ways = find_paths(scene) if paths is None else paths
    lattice = ways.lattice
    patches = len(lattice.patch_face)
    toward = np.array(sky.toward_sun)
    white_sun = sky.sun_rgb_lx / np.pi
    sunny = bool(white_sun.any()) and toward[2] > 0.0
    sun = sun_share(scene, sky.toward_sun, SUN_RADIUS_DEG) if sunny else no_sun(scene)
    sun_direct = sun_on_patches(scene, lattice, sun, toward)[:, None] * white_sun
    cells = sky_cells(sky.table_cd_m2)
    lamp = lamp_radiance(scene) if lamps else np.zeros((len(scene.corner), 3))
    given = np.concatenate([cells, lamp[ways.lamps]])
    direct = ways.exchange[:, patches:] @ given + sun_direct
    leaving, _ = settle(ways.exchange[:, :patches], ways.reflect, direct)
    seen = np.concatenate([leaving, given]).astype(np.float32)
    glow = _smoothed(lattice, ways.near @ seen, ways.open_m, SMOOTHINGS)
    glow += _smoothed(lattice, ways.far @ seen, ways.open_m, 1)
    glow[ways.source < 0] = 0.0
    fill = ways.source >= 0
    glow[fill] = glow[ways.source[fill]]
    return Lit(
        start=lattice.start,
        across=lattice.across,
        along=lattice.along,
        glow=np.ascontiguousarray(glow, dtype=np.float32),
        sun_start=sun.start,
        sun_across=sun.across,
        sun_along=sun.along,
        sun_share=sun.share,
        sun=(white_sun if sunny else np.zeros(3)).astype(np.float32),
        toward_sun=toward,
        lamp=lamp.astype(np.float32),
        sky=sky.table_cd_m2,
        cloud=sky.cloud,
    )


def sky_cells(table: NDArray[np.float32]) -> NDArray[np.float64]:
    """Mean radiance of each cell of the sky, weighed as level ground sees it: (SKY_ROWS * SKY_COLUMNS, 3)."""
    rows, columns = table.shape[:2]
    up = (np.arange(SKY_ROWS)[:, None] + (np.arange(5) + 0.5) / 5.0).ravel() / SKY_ROWS
    round_ = (np.arange(SKY_COLUMNS)[:, None] + (np.arange(5) + 0.5) / 5.0).ravel() / SKY_COLUMNS
    v = up * (rows - 1)
    i = np.minimum(v.astype(int), rows - 2)
    t = (v - i)[:, None, None]
    u = round_ * columns
    j = u.astype(int) % columns
    s = (u - u.astype(int))[None, :, None]
    low = table[i][:, j] * (1.0 - s) + table[i][:, (j + 1) % columns] * s
    high = table[i + 1][:, j] * (1.0 - s) + table[i + 1][:, (j + 1) % columns] * s
    fine = low * (1.0 - t) + high * t
    angle = up * np.pi / 2.0
    weight = (np.sin(angle) * np.cos(angle)).reshape(SKY_ROWS, 5)
    weight /= weight.sum(axis=1, keepdims=True)
    parts = fine.reshape(SKY_ROWS, 5, SKY_COLUMNS, 5, 3).mean(axis=3)
    out: NDArray[np.float64] = np.einsum("ab,abcd->acd", weight, parts).reshape(-1, 3)
    return out


def lamp_radiance(scene: Scene) -> NDArray[np.float64]:
    """What every lamp face sends out when lamps are lit, RGB (F, 3) [cd/m2].

    The fixed lamps of a space share the light that its floor asks for; a lamp that is a thing has its own.
    """
    out = np.zeros((len(scene.corner), 3))
    burning = np.flatnonzero(scene.finishes[scene.finish, 11] == LAMP)
    for owner in np.unique(scene.owner[burning]):
        faces = burning[scene.owner[burning] == owner]
        floor_m2 = float(scene.area_m2[(scene.owner == owner) & (scene.part == FLOOR)].sum())
        source = fixed_lamps(floor_m2) if floor_m2 > 0.0 else table_lamp()
        out[faces] = source.radiance_rgb_cd_m2(float(scene.area_m2[faces].sum()))
    return out


def _smoothed(lattice: Any, glow: NDArray[Any], open_m: NDArray[np.float64], passes: int) -> NDArray[np.float64]:
    out = np.ascontiguousarray(glow, dtype=np.float64)
    for _ in range(passes):
        out = _smooth(lattice.start, lattice.across, lattice.along, lattice.state, open_m, out)
    return out


@njit(nogil=True, cache=True)
def _smooth(start: Any, across: Any, along: Any, state: Any, open_m: Any, glow: Any) -> Any:
    """One pass of a 1 2 1 filter over each face, that stops where things come near or end."""
    out = glow.copy()
    for f in range(start.shape[0]):
        m, n = across[f], along[f]
        if m * n < 2:
            continue
        for j in range(n):
            for i in range(m):
                k = start[f] + j * m + i
                if state[k] != ON:
                    continue
                whole = 0.0
                r = g = b = 0.0
                for q in range(max(0, j - 1), min(n, j + 2)):
                    for p in range(max(0, i - 1), min(m, i + 2)):
                        other = start[f] + q * m + p
                        if state[other] != ON:
                            continue
                        weight = (2.0 if p == i else 1.0) * (2.0 if q == j else 1.0)
                        ratio = open_m[other] / open_m[k]
                        weight *= min(ratio, 1.0 / ratio) ** 2
                        whole += weight
                        r += weight * glow[other, 0]
                        g += weight * glow[other, 1]
                        b += weight * glow[other, 2]
                out[k, 0], out[k, 1], out[k, 2] = r / whole, g / whole, b / whole
    return out


__all__ = ["illuminate", "lamp_radiance", "sky_cells"]
