"""Stance: how high the lens stood, and how low the sun did where it shows.

Height is measured straight down from the lens to the first thing under it. Shadows count where the sun's disc lights
something that the frame shows: outdoors, or as a patch on a floor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.evidence import Region, map_regions
from scoring.frame.measure_seams import Floats
from scoring.frame.measure_tones import solid_angles
from scoring.frame.probe import hits_along

SUNLIT_MIN = 0.5
"""Share of the sun's disc that a place sees to count as sunlit."""
PATCH_SHARE = 0.003
"""Of the sphere: less sunlit ground than this casts no shadow worth a word."""


@dataclass(frozen=True, slots=True)
class Stance:
    """Where the lens stood."""

    lens_height_m: float
    """Over what is straight below."""
    height_off_m: float
    """Between that and the kit's height."""


@dataclass(frozen=True, slots=True)
class Shadows:
    """Sun in the frame."""

    sunlit_share: float
    """Of the sphere, lit by the sun's disc."""
    ratio: float
    """Length of a shadow on level ground over the height that casts it; 0 where too little is sunlit."""
    regions: tuple[Region, ...]
    """Sunlit places, largest first."""


def stance_of(scene: Any, lens_m: Floats, kit_height_m: float) -> Stance:
    """How high the lens stood, against the height the kit stands at [m]."""
    _, down = hits_along(scene, lens_m, np.array([[0.0, 0.0, -1.0]]), 1)
    height_m = float(down[0])
    return Stance(height_m, abs(height_m - kit_height_m))


def shadows_of(scene: Any, lit: Any, faces: NDArray[np.int32], points_m: Floats) -> Shadows:
    """Sun in a frame whose pixels show these faces (h, w) at these points (h, w, 3), whole sphere, w = 2 h."""
    height, width = faces.shape
    flat = np.ascontiguousarray(points_m.reshape(-1, 3))
    sunlit = np.zeros(len(flat), dtype=np.bool_)
    if float(np.max(lit.sun)) > 0.0:
        _sunlit(scene, lit, np.ascontiguousarray(faces.ravel()), flat, sunlit)
    there = sunlit.reshape(height, width)
    share = float((there * solid_angles(height, width)).sum())
    up = float(lit.toward_sun[2])
    ratio = math.sqrt(max(0.0, 1.0 - up * up)) / up if share >= PATCH_SHARE and up > 0.0 else 0.0
    return Shadows(share, ratio, map_regions("shadow_ratio", there, solid_angles(height, width)))


@njit(nogil=True, cache=True)
def _sunlit(scene: Any, lit: Any, faces: Any, points: Any, out: Any) -> None:
    for i in range(faces.shape[0]):
        f = faces[i]
        if f < 0 or lit.sun_start[f] < 0:
            continue
        cos = 0.0
        s = t = 0.0
        for k in range(3):
            cos += scene.normal[f, k] * lit.toward_sun[k]
            s += (points[i, k] - scene.corner[f, k]) * scene.u[f, k]
            t += (points[i, k] - scene.corner[f, k]) * scene.v[f, k]
        if cos <= 0.0:
            continue
        m, n = lit.sun_across[f], lit.sun_along[f]
        column = int(min(max(s / max(scene.size_m[f, 0], 1e-9), 0.0), 1.0) * (m - 1) + 0.5)
        line = int(min(max(t / max(scene.size_m[f, 1], 1e-9), 0.0), 1.0) * (n - 1) + 0.5)
        out[i] = lit.sun_share[lit.sun_start[f] + line * m + column] >= SUNLIT_MIN


__all__ = ["Shadows", "Stance", "shadows_of", "stance_of"]
