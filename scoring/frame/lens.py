"""The fisheye: where a direction lands on the film, and which direction a place on the film shows.

Alphabet, all in the camera's frame (x forward along the lens axis, y left, z up)::

    t      angle from the lens axis                       rad
    r      distance from the film's centre over f         1, the focal length is 1
    (p, q) place on the film: p to the left, q up         1
    s      how far the entrance pupil has moved forward   m

           z                                 q
           │  / direction                    │   · (p, q)
           │ /                               │  /
           │/ t                              │ / r
    ───────┼─────────▶ x        p ◀──────────┼──────────
         pupil

Radii after Miyamoto 1964 (from memory): equidistant t, equisolid 2 sin(t/2), stereographic 2 tan(t/2), orthographic
sin t. The entrance pupil of a fisheye moves forward with the angle (Littlefield 2006; Smith 2007): here by a share of
1 - cos t.

An orthographic film ends at r = 1, square off the axis: what lies behind the lens is put on that rim, and beyond it the
film shows what is square off the axis.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.kernels import kernel, woven
from scoring.rig.kit import Lens

EQUIDISTANT, EQUISOLID, STEREOGRAPHIC, ORTHOGRAPHIC = 0, 1, 2, 3
PROJECTIONS = {
    "equidistant": EQUIDISTANT, "equisolid": EQUISOLID, "stereographic": STEREOGRAPHIC, "orthographic": ORTHOGRAPHIC,
}  # fmt: skip

Rows = NDArray[Any]


@kernel
def radius(projection: int, angle_rad: float) -> float:
    """Distance from the film's centre, in focal lengths, of light that comes in at an angle from the axis."""
    if projection == EQUIDISTANT:
        return angle_rad
    if projection == EQUISOLID:
        return 2.0 * math.sin(0.5 * angle_rad)
    if projection == ORTHOGRAPHIC:
        return math.sin(min(angle_rad, 0.5 * math.pi))
    return 2.0 * math.tan(0.5 * angle_rad)


@kernel
def angle(projection: int, r: float) -> float:
    """Angle from the axis [rad] of the light at that distance from the film's centre: the inverse of ``radius``.

    Beyond the equisolid film's edge (r = 2, straight back) it stays straight back, beyond the orthographic one's
    (r = 1) square off the axis.
    """
    if projection == EQUIDISTANT:
        return min(r, math.pi)
    if projection == EQUISOLID:
        return 2.0 * math.asin(min(0.5 * r, 1.0))
    if projection == ORTHOGRAPHIC:
        return math.asin(min(r, 1.0))
    return 2.0 * math.atan(0.5 * r)


@woven
def to_film(projection: int, x: float, y: float, z: float) -> tuple[float, float]:
    """Place (p, q) on the film of a direction of any length but zero.

    With x = cos t of a unit vector, 2 sin(t/2) / sin t is sqrt(2 / (1 + x)), and 2 tan(t/2) / sin t is 2 / (1 + x).
    """
    across2 = y * y + z * z
    if projection == EQUIDISTANT:
        across = math.sqrt(across2)
        k = math.atan2(across, x) / across if across > 0.0 else 0.0
        return y * k, z * k
    if projection == ORTHOGRAPHIC:
        size = math.sqrt(across2 + (x * x if x > 0.0 else 0.0))
        k = 1.0 / size if size > 0.0 else 0.0
        return y * k, z * k
    size = math.sqrt(across2 + x * x)
    k = 2.0 / max(size + x, 1e-15 * size)
    if projection == EQUISOLID:
        k = math.sqrt(k / size)
    return y * k, z * k


@woven
def from_film(projection: int, p: float, q: float) -> tuple[float, float, float]:
    """The unit direction that a place on the film shows."""
    r2 = p * p + q * q
    if projection == EQUIDISTANT:
        r = min(math.sqrt(r2), math.pi)
        k = math.sin(r) / r if r > 0.0 else 1.0
        return math.cos(r), p * k, q * k
    if projection == ORTHOGRAPHIC:
        k = 1.0 / math.sqrt(max(r2, 1.0))
        return math.sqrt(max(1.0 - r2, 0.0)), p * k, q * k
    part = 0.25 * r2
    if projection == EQUISOLID:
        part = min(part, 1.0)
        k = math.sqrt(1.0 - part)
        return 1.0 - 2.0 * part, p * k, q * k
    k = 1.0 / (1.0 + part)
    return (1.0 - part) * k, p * k, q * k


@njit(nogil=True, cache=True)
def to_film_all(projection: int, directions: Rows) -> Rows:
    """``to_film`` of many: (n, 3) to (n, 2)."""
    out = np.empty((directions.shape[0], 2))
    for i in range(directions.shape[0]):
        out[i, 0], out[i, 1] = to_film(projection, directions[i, 0], directions[i, 1], directions[i, 2])
    return out


@njit(nogil=True, cache=True)
def from_film_all(projection: int, places: Rows) -> Rows:
    """``from_film`` of many: (n, 2) to (n, 3)."""
    out = np.empty((places.shape[0], 3))
    for i in range(places.shape[0]):
        out[i, 0], out[i, 1], out[i, 2] = from_film(projection, places[i, 0], places[i, 1])
    return out


def edge_radius(lens: Lens) -> float:
    """Radius of the image circle: of light from the edge of the lens's field, in focal lengths."""
    return float(radius(PROJECTIONS[lens.projection], math.radians(0.5 * lens.field_deg)))


def film_shift(lens: Lens, offset_mm: float) -> float:
    """How far the picture of a lens that sits off the camera's axis is shifted on the film, in focal lengths.

    The shift is a share of the radius at which light from square off the axis lands: offset over ``circle_mm``. With an
    equidistant lens s of R pixels are s (90 / R) degrees, to one side in every heading.
    """
    return offset_mm / lens.circle_mm * float(radius(PROJECTIONS[lens.projection], 0.5 * math.pi))


__all__ = [
    "EQUIDISTANT", "EQUISOLID", "ORTHOGRAPHIC", "PROJECTIONS", "STEREOGRAPHIC", "angle", "edge_radius", "film_shift",
    "from_film", "from_film_all", "radius", "to_film", "to_film_all",
]  # fmt: skip
