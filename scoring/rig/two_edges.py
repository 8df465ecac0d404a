"""Where the entrance pupil sits, from two edges that were looked at in three headings.

    far edge      F    straight ahead, ``far_m`` from the turning axis
    near edge     N    ``near_m`` from the axis, put so that it covers F when the camera looks straight at them
    turn          a    the rotator is turned by +a (clockwise from above) and by -a; the edges stay where they are

           F                 The pupil lies f in front of the axis and s to its right, and turns with the camera.
           |                 With f = s = 0 it stays where it is, and N goes on covering F however the camera turns.
           N                 Otherwise N moves to one side of F, by the angle ``shift`` (to the right: positive).
           |
         --O--  axis

To first order, with k = 1/near - 1/far:

    shift(+a) - shift(-a) = -2 k f sin a        shift(+a) + shift(-a) = 2 k s (1 - cos a)

Here the exact angles are solved, since f and s are no longer small beside a near edge at arm's length.
The test is common practice, no source; the geometry is plane trigonometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

REACH_MM = 120.0
"""Nobody's pupil lies farther from the axis than this."""


class TwoEdgesError(ValueError):
    """The readings cannot be used; the message is for people."""


@dataclass(frozen=True, slots=True)
class Pupil:
    """Where the pupil lies, and by how much that may be off for the error of reading."""

    forward_mm: float
    side_mm: float
    """To the right of the axis, seen along the view."""
    forward_sd_mm: float
    side_sd_mm: float


def shifts(forward_mm: float, side_mm: float, near_m: float, far_m: float, turn_deg: float) -> tuple[float, float]:
    """The shifts of the near edge beside the far one that such a pupil shows at +turn and -turn [deg]."""
    start = _at(forward_mm, side_mm, 0.0)
    far = (0.0, far_m)
    share = (near_m - start[1]) / (far[1] - start[1])
    near = (start[0] + share * (far[0] - start[0]), near_m)
    return tuple(_shift(_at(forward_mm, side_mm, sign * turn_deg), near, far) for sign in (1.0, -1.0))  # type: ignore[return-value]


def pupil(
    near_m: float, far_m: float, turn_deg: float, shift_plus_deg: float, shift_minus_deg: float, *, read_sd_deg: float
) -> Pupil:
    """Where the pupil lies, from the two shifts read off [deg].

    ``read_sd_deg`` is the standard error of one reading. Raises TwoEdgesError where the edges or the turn cannot
    tell, or where no pupil within reach shows such shifts.

    >>> found = pupil(0.6, 4.0, 40.0, *shifts(12.0, -5.0, 0.6, 4.0, 40.0), read_sd_deg=0.05)
    >>> round(found.forward_mm, 3), round(found.side_mm, 3)
    (12.0, -5.0)
    """
    if not 0.3 <= near_m <= 3.0 or far_m < near_m + 1.0:
        raise TwoEdgesError("Take a near edge 0.3 to 3 m away, and a far one at least 1 m behind it.")
    if not 10.0 <= turn_deg <= 80.0:
        raise TwoEdgesError("Turn by 10 to 80 degrees to each side.")
    seen = np.array([shift_plus_deg, shift_minus_deg])

    def off(at: NDArray[np.float64]) -> NDArray[np.float64]:
        found: NDArray[np.float64] = np.subtract(shifts(float(at[0]), float(at[1]), near_m, far_m, turn_deg), seen)
        return found

    found = least_squares(off, x0=[0.0, 0.0], bounds=(-REACH_MM, REACH_MM), x_scale=10.0, xtol=1e-14, ftol=1e-14)
    if np.abs(found.fun).max() > 1e-3:
        raise TwoEdgesError(f"No lens within {REACH_MM:.0f} mm of the axis shows such shifts: read them again.")
    spread = np.linalg.inv(found.jac.T @ found.jac) * read_sd_deg**2
    return Pupil(float(found.x[0]), float(found.x[1]), float(spread[0, 0] ** 0.5), float(spread[1, 1] ** 0.5))


def _at(forward_mm: float, side_mm: float, turn_deg: float) -> tuple[float, float]:
    """The pupil's place [m], x to the right and y ahead of the first heading."""
    a, f, s = radians(turn_deg), forward_mm / 1000.0, side_mm / 1000.0
    return f * sin(a) + s * cos(a), f * cos(a) - s * sin(a)


def _shift(eye: tuple[float, float], near: tuple[float, float], far: tuple[float, float]) -> float:
    def azimuth(point: tuple[float, float]) -> float:
        return degrees(atan2(point[0] - eye[0], point[1] - eye[1]))

    return azimuth(near) - azimuth(far)


__all__ = ["Pupil", "TwoEdgesError", "pupil", "shifts"]
