"""One heading: where the camera really was, what its lens did, and where the merger believes it was.

Forward and back between a direction that the merger believes and a ray in the world, exactly::

    believed (lon, lat) ─▶ b in the believed camera ─▶ film ─▶ less the lens's shift ─▶ l in the lens ─▶ c in the
    camera ─▶ ray in the world from the pupil of that angle

The frame's axes are forward, left, up; lon grows clockwise seen from above, so that y = -cos(lat) sin(lon). A camera
has x forward, y left, z up. Alphabet of a packed row (float64), as the kernels read it::

    0..8    A     attitude, camera to world            23   w    pupil travel over 1 - cos t [m]
    9..11   o     pupil for light at t0, world [m]     24        cos t0
    12..20  T     lens to camera                       25        azimuth where the merger believes it [rad]
    21, 22  shift of the picture [focal lengths]       26        projection; 27: 1 when shift or T matter

t is the angle from the lens axis, t0 the one at which the pupil is in place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.kernels import woven
from scoring.frame.lens import from_film, to_film

Rows = NDArray[Any]

ROW = 28
INVERSE_STEPS = 20
"""Steps of the fixed point in ``placed_rows``: each gains two digits and more as long as things keep 0.2 m off."""


@dataclass(frozen=True, slots=True)
class Smudge:
    """Film on one part of the glass, in the lens's coordinates."""

    share: float
    """Of the aperture's area."""
    loss: float
    off_axis_deg: float
    toward_deg: float
    grain_deg: float


@dataclass(frozen=True, slots=True)
class Film:
    """What happens to the light of one heading on its way to the file."""

    exposure_ev: float = 0.0
    """Off the exposure that the spin was set to."""
    balance_kelvin: float = 0.0
    """Off the colour temperature that the spin was set to."""
    focus_deg: float = 0.0
    """Rise of an edge from 10 to 90 %, out of focus."""
    smear_deg: float = 0.0
    """Length of the smear along the turning direction."""
    fog_share: float = 0.0
    """Light scattered on the whole glass."""
    veil_share: float = 0.0
    """Light spread evenly over the whole picture, beyond what a clean lens does."""
    glare_share: float = 0.0
    glare_spots: int = 0
    smudge: Smudge | None = None
    held: str = ""
    """What is in front of the lens: "", "finger" or "strap"."""
    held_toward_deg: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Heading:
    """One heading of a spin, as it was and as it is believed to be."""

    index: int
    """Place in the merged frame, from 0."""
    source: int
    """Which of the turns it was taken at, from 0."""
    taken: bool
    """False where the spin stopped short and nothing is shown."""
    believed_deg: float
    """Azimuth of its middle as the merger believes it."""
    attitude: Rows
    """(3, 3), camera to world, true."""
    origin_m: Rows
    """(3,) in the world: the pupil for light at the seam's angle."""
    lens_turn: Rows
    """(3, 3), lens to camera."""
    lens_shift: tuple[float, float]
    """Of the picture on the film, to the left and up, in focal lengths."""
    travel_m: float
    """How far the pupil moves forward over 1 - cos of the angle from the lens axis."""
    seam_rad: float
    """Angle from the lens axis at which the pupil is in place."""
    projection: int
    film: Film = field(default_factory=Film)

    @property
    def shot_bit(self) -> int:
        """The bit of the scene's faces that this heading sees."""
        return 1 << self.source

    @property
    def is_seated(self) -> bool:
        """Whether the lens is home on its camera."""
        return self.lens_shift == (0.0, 0.0) and np.array_equal(self.lens_turn, np.eye(3))

    def row(self) -> Rows:
        """Packed for the kernels, shape (28,)."""
        out = np.zeros(ROW)
        out[0:9] = self.attitude.ravel()
        out[9:12] = self.origin_m
        out[12:21] = self.lens_turn.ravel()
        out[21:23] = self.lens_shift
        out[23], out[24] = self.travel_m, math.cos(self.seam_rad)
        out[25], out[26] = math.radians(self.believed_deg), self.projection
        out[27] = float(not self.is_seated)
        return out


def turn_right(angle_deg: float) -> Rows:
    """Rotation about up, clockwise seen from above, (3, 3)."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def roll_right(angle_deg: float) -> Rows:
    """Rotation about forward, clockwise seen from behind, (3, 3)."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def lean_back(angle_deg: float) -> Rows:
    """Rotation that lifts the view, (3, 3)."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]])


def tilt_toward(tilt_deg: float, azimuth_deg: float) -> Rows:
    """Rotation that leans the axis toward an azimuth, (3, 3)."""
    turn = turn_right(azimuth_deg)
    return turn @ lean_back(-tilt_deg) @ turn.T


@woven
def world_ray(row: Rows, lon: float, lat: float) -> tuple[float, float, float, float, float, float, float]:
    """The ray that a heading really saw where the merger believes (lon, lat) [rad]: origin, direction, and cos t."""
    across = math.cos(lat)
    x, y, z = across * math.cos(lon - row[25]), -across * math.sin(lon - row[25]), math.sin(lat)
    return believed_ray(row, x, y, z)


@woven
def believed_ray(row: Rows, x: float, y: float, z: float) -> tuple[float, float, float, float, float, float, float]:
    """As ``world_ray``, for a unit direction in the believed camera."""
    s = row[23]
    if row[27] != 0.0:
        projection = int(row[26])
        p, q = to_film(projection, x, y, z)
        lx, ly, lz = from_film(projection, p - row[21], q - row[22])
        cos_t = lx
        x = row[12] * lx + row[13] * ly + row[14] * lz
        y = row[15] * lx + row[16] * ly + row[17] * lz
        z = row[18] * lx + row[19] * ly + row[20] * lz
        s *= row[24] - cos_t
        sx, sy, sz = s * row[12], s * row[15], s * row[18]
    else:
        cos_t = x
        sx, sy, sz = s * (row[24] - cos_t), 0.0, 0.0
    return (
        row[9] + row[0] * sx + row[1] * sy + row[2] * sz,
        row[10] + row[3] * sx + row[4] * sy + row[5] * sz,
        row[11] + row[6] * sx + row[7] * sy + row[8] * sz,
        row[0] * x + row[1] * y + row[2] * z,
        row[3] * x + row[4] * y + row[5] * z,
        row[6] * x + row[7] * y + row[8] * z,
        cos_t,
    )


@njit(nogil=True, cache=True)
def rays_of_row(row: Rows, lonlat_deg: Rows) -> tuple[Rows, Rows]:
    """``world_ray`` of many: (n, 2) degrees to origins and unit directions, (n, 3) each."""
    n = lonlat_deg.shape[0]
    origins, directions = np.empty((n, 3)), np.empty((n, 3))
    for i in range(n):
        ox, oy, oz, dx, dy, dz, _ = world_ray(row, math.radians(lonlat_deg[i, 0]), math.radians(lonlat_deg[i, 1]))
        origins[i, 0], origins[i, 1], origins[i, 2] = ox, oy, oz
        directions[i, 0], directions[i, 1], directions[i, 2] = dx, dy, dz
    return origins, directions


@njit(nogil=True, cache=True)
def placed_rows(row: Rows, points_m: Rows) -> Rows:
    """Where the merger puts world points (n, 3) that this heading sees: (n, 2) lon, lat [deg]."""
    out = np.empty((points_m.shape[0], 2))
    projection = int(row[26])
    for i in range(points_m.shape[0]):
        ax, ay, az = points_m[i, 0] - row[9], points_m[i, 1] - row[10], points_m[i, 2] - row[11]
        cx = row[0] * ax + row[3] * ay + row[6] * az
        cy = row[1] * ax + row[4] * ay + row[7] * az
        cz = row[2] * ax + row[5] * ay + row[8] * az
        qx = row[12] * cx + row[15] * cy + row[18] * cz
        qy = row[13] * cx + row[16] * cy + row[19] * cz
        qz = row[14] * cx + row[17] * cy + row[20] * cz
        s = 0.0
        for _ in range(INVERSE_STEPS):
            lx = qx - s
            s = row[23] * (row[24] - lx / math.sqrt(lx * lx + qy * qy + qz * qz))
        lx = qx - s
        if row[27] != 0.0:
            p, q = to_film(projection, lx, qy, qz)
            lx, qy, qz = from_film(projection, p + row[21], q + row[22])
        lon = row[25] + math.atan2(-qy, lx)
        lon -= 2.0 * math.pi * math.floor((lon + math.pi) / (2.0 * math.pi))
        out[i, 0] = math.degrees(lon)
        out[i, 1] = math.degrees(math.atan2(qz, math.sqrt(lx * lx + qy * qy)))
    return out


__all__ = [
    "ROW", "Film", "Heading", "Smudge", "believed_ray", "lean_back", "placed_rows", "rays_of_row", "roll_right",
    "tilt_toward", "turn_right", "world_ray",
]  # fmt: skip
