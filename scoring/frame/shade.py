"""What light comes along a ray: light on the first surface, times its reflectance; mirrors and panes on the way.

A mirror turns the ray, a pane lets it through a little dimmer, leaves have gaps: at most ``TURNS`` times in all.
Surfaces spread light evenly: there is no gloss but a mirror's, so that light on a surface is the same for all who look.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from scoring.frame.finishes import GLASS, LACE, LAMP, LEAVES, MIRROR
from scoring.frame.kernels import kernel, woven
from scoring.frame.noise import grain
from scoring.frame.textures import reflectance
from scoring.frame.trace import first_hit

TURNS = 20
"""Mirrors, panes and gaps between leaves that a ray may meet."""
GAP = 0.16
"""Leaves are open where their noise is above this."""
TAU = 2.0 * math.pi


@woven
def radiance_along(
    scene: Any, lit: Any, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float,
    footprint_rad: float, bit: int,
) -> tuple[float, float, float, float, int]:  # fmt: skip
    """RGB radiance [cd/m2] that arrives along a unit vector, the length of its way [m] and the face it comes from.

    ``footprint_rad`` is the angle of a pixel. Sky is face -1 at an infinite distance. The way through mirrors is
    counted to its end: so far off does the mirror image seem.
    """
    face, t = first_hit(scene, ox, oy, oz, dx, dy, dz, bit)
    return radiance_from(scene, lit, face, t, ox, oy, oz, dx, dy, dz, footprint_rad, bit)


@kernel
def radiance_from(
    scene: Any, lit: Any, face: int, t: float, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float,
    footprint_rad: float, bit: int,
) -> tuple[float, float, float, float, int]:  # fmt: skip
    """As ``radiance_along``, when the first face and its distance are known."""
    way = 0.0
    wr = wg = wb = 1.0
    for turn in range(TURNS):
        if turn > 0:
            face, t = first_hit(scene, ox, oy, oz, dx, dy, dz, bit)
        if face < 0:
            r, g, b = sky_along(scene, lit, dx, dy, dz)
            return wr * r, wg * g, wb * b, np.inf, -1
        way += t
        ox, oy, oz = ox + t * dx, oy + t * dy, oz + t * dz
        kind = scene.finish[face]
        optic = int(scene.finishes[kind, 11])
        if optic == MIRROR:
            nx, ny, nz = scene.normal[face, 0], scene.normal[face, 1], scene.normal[face, 2]
            twice = 2.0 * (dx * nx + dy * ny + dz * nz)
            dx, dy, dz = dx - twice * nx, dy - twice * ny, dz - twice * nz
            wr *= scene.finishes[kind, 1]
            wg *= scene.finishes[kind, 2]
            wb *= scene.finishes[kind, 3]
            continue
        if optic == GLASS:
            wr *= scene.finishes[kind, 1]
            wg *= scene.finishes[kind, 2]
            wb *= scene.finishes[kind, 3]
            continue
        if optic == LACE and turn < TURNS - 2 and _open(scene, face, kind, ox, oy, oz, way * footprint_rad):
            continue
        r, g, b = _leaving(scene, lit, face, kind, optic, ox, oy, oz, dx, dy, dz, way * footprint_rad)
        return wr * r, wg * g, wb * b, way, face
    return 0.0, 0.0, 0.0, way, face


@woven
def _leaving(
    scene: Any, lit: Any, face: int, kind: int, optic: int, x: float, y: float, z: float,
    dx: float, dy: float, dz: float, wide: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Radiance that leaves a face at a point against the direction of sight; ``wide`` is the pixel there [m]."""
    px, py, pz = x - scene.corner[face, 0], y - scene.corner[face, 1], z - scene.corner[face, 2]
    s = px * scene.u[face, 0] + py * scene.u[face, 1] + pz * scene.u[face, 2]
    t = px * scene.v[face, 0] + py * scene.v[face, 1] + pz * scene.v[face, 2]
    slant = dx * scene.normal[face, 0] + dy * scene.normal[face, 1] + dz * scene.normal[face, 2]
    flat2 = max(slant * slant, 1e-4)
    du = dx * scene.u[face, 0] + dy * scene.u[face, 1] + dz * scene.u[face, 2]
    dv = dx * scene.v[face, 0] + dy * scene.v[face, 1] + dz * scene.v[face, 2]
    fu = wide * math.sqrt(1.0 + du * du / flat2)
    fv = wide * math.sqrt(1.0 + dv * dv / flat2)
    if int(scene.finishes[kind, 0]) == LEAVES:
        lu, lv = _through(scene, face, x, y, z)
        r, g, b = reflectance(scene.finishes, kind, scene.tiles, lu, lv, wide, wide)
    else:
        lu, lv = s + scene.lay_m[face, 0], t + scene.lay_m[face, 1]
        r, g, b = reflectance(scene.finishes, kind, scene.tiles, lu, lv, fu, fv)
    lr, lg, lb = light_at(scene, lit, face, s, t)
    r, g, b = r * lr, g * lg, b * lb
    if optic == LAMP:
        r, g, b = r + lit.lamp[face, 0], g + lit.lamp[face, 1], b + lit.lamp[face, 2]
    return r, g, b


@woven
def _through(scene: Any, face: int, x: float, y: float, z: float) -> tuple[float, float]:
    """Where foliage takes its texture: from a point of the world, so that facets that face alike join unseen."""
    nx, ny, nz = abs(scene.normal[face, 0]), abs(scene.normal[face, 1]), abs(scene.normal[face, 2])
    if nz > nx and nz > ny:
        return x, y
    return (y, z) if nx > ny else (x, z)


@woven
def _open(scene: Any, face: int, kind: int, x: float, y: float, z: float, wide: float) -> bool:
    """Whether a ray slips between leaves here; from far off all is closed."""
    u, v = _through(scene, face, x, y, z)
    size = 3.0 * scene.finishes[kind, 7]
    return grain(scene.tiles, u, v, size, math.log2(max(wide, 1e-6)), 40 + int(scene.finishes[kind, 10])) > GAP


@woven
def light_at(scene: Any, lit: Any, face: int, s: float, t: float) -> tuple[float, float, float]:
    """Radiance of a white surface at (s, t) of a face [cd/m2], the sun's part included."""
    a = s / max(scene.size_m[face, 0], 1e-9)
    b = t / max(scene.size_m[face, 1], 1e-9)
    m, n = lit.across[face], lit.along[face]
    x = min(max(a, 0.0), 1.0) * (m - 1)
    y = min(max(b, 0.0), 1.0) * (n - 1)
    i, j = min(int(x), max(m - 2, 0)), min(int(y), max(n - 2, 0))
    fx, fy = x - i, y - j
    right, up = (1 if m > 1 else 0), (m if n > 1 else 0)
    k = lit.start[face] + j * m + i
    w00, w10, w01, w11 = (1.0 - fx) * (1.0 - fy), fx * (1.0 - fy), (1.0 - fx) * fy, fx * fy
    glow = lit.glow
    r = w00 * glow[k, 0] + w10 * glow[k + right, 0] + w01 * glow[k + up, 0] + w11 * glow[k + up + right, 0]
    g = w00 * glow[k, 1] + w10 * glow[k + right, 1] + w01 * glow[k + up, 1] + w11 * glow[k + up + right, 1]
    bl = w00 * glow[k, 2] + w10 * glow[k + right, 2] + w01 * glow[k + up, 2] + w11 * glow[k + up + right, 2]
    first = lit.sun_start[face]
    if first >= 0:
        cos = (
            scene.normal[face, 0] * lit.toward_sun[0]
            + scene.normal[face, 1] * lit.toward_sun[1]
            + scene.normal[face, 2] * lit.toward_sun[2]
        )
        if cos > 0.0:
            m, n = lit.sun_across[face], lit.sun_along[face]
            x = min(max(a, 0.0), 1.0) * (m - 1)
            y = min(max(b, 0.0), 1.0) * (n - 1)
            i, j = min(int(x), max(m - 2, 0)), min(int(y), max(n - 2, 0))
            fx, fy = x - i, y - j
            right, up = (1 if m > 1 else 0), (m if n > 1 else 0)
            k = first + j * m + i
            share = lit.sun_share
            low = share[k] + fx * (share[k + right] - share[k])
            high = share[k + up] + fx * (share[k + up + right] - share[k + up])
            seen = cos * (low + fy * (high - low))
            r, g, bl = r + seen * lit.sun[0], g + seen * lit.sun[1], bl + seen * lit.sun[2]
    return r, g, bl


@woven
def sky_along(scene: Any, lit: Any, dx: float, dy: float, dz: float) -> tuple[float, float, float]:
    """Radiance of the sky in a direction [cd/m2]; below the horizon as at it."""
    sky = lit.sky
    rows, columns = sky.shape[0], sky.shape[1]
    el = math.asin(min(1.0, max(0.0, dz))) / (0.5 * math.pi)
    az = math.atan2(dy, dx) / TAU
    az -= math.floor(az)
    y = el * (rows - 1)
    x = az * columns
    j = min(int(y), rows - 2)
    i = min(int(x), columns - 1)
    fx, fy = x - i, y - j
    right = (i + 1) % columns
    w00, w10, w01, w11 = (1.0 - fx) * (1.0 - fy), fx * (1.0 - fy), (1.0 - fx) * fy, fx * fy
    r = w00 * sky[j, i, 0] + w10 * sky[j, right, 0] + w01 * sky[j + 1, i, 0] + w11 * sky[j + 1, right, 0]
    g = w00 * sky[j, i, 1] + w10 * sky[j, right, 1] + w01 * sky[j + 1, i, 1] + w11 * sky[j + 1, right, 1]
    b = w00 * sky[j, i, 2] + w10 * sky[j, right, 2] + w01 * sky[j + 1, i, 2] + w11 * sky[j + 1, right, 2]
    if lit.cloud > 0.0 and dz > 0.02:
        far = 1.0 / (dz + 0.12)
        c = grain(scene.tiles, dx * far, dy * far, 3.0, math.log2(0.003 * far), 77)
        m = min(1.0, max(0.0, 1.6 * c + lit.cloud - 0.35)) * min(1.0, 8.0 * (dz - 0.02))
        white = (0.3 * r + 0.45 * g + 0.25 * b) * (2.6 - 0.9 * m)
        r, g, b = r + (white - r) * m, g + (white - g) * m, b + (1.03 * white - b) * m
    return r, g, b


__all__ = ["light_at", "radiance_along", "radiance_from", "sky_along"]
