"""How the disagreement of two headings goes with distance and height: what tells its causes apart.

Every point says how far apart it is put, across and up (``measure_seams``). Two laws are held against each other, in
bands of elevation, because a lens off its axis and a phone that is askew may do the same at one height::

    none      s = b(elevation)            the same near and far: headings are turned against each other
    inverse   s = a(elevation) / d        as one over the distance: the lens is in another place

The one that leaves less behind is the law. Near and far things at one height decide; a frame that shows none gives
"n/a".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scoring.frame.measure_seams import Floats, Points

Law = Literal["inverse", "none", "n/a"]
Direction = Literal["sideways", "vertical", "both", "none"]

BAND_DEG = 10.0
"""Height of a band of elevation."""
EYE_DEG = 6.0
"""Eye level reaches this far up and down."""
OFF_DEG = (15.0, 50.0)
"""Above and below eye level are these elevations."""
CLEARER = 1.5
"""A law is the better one when the other leaves this many times its square behind."""
PART = 0.4
"""What is less than this share of something else counts as absent beside it."""


@dataclass(frozen=True, slots=True)
class Trend:
    """How the disagreement of still things goes with distance and height."""

    law: Law
    direction: Direction
    at_eye_level: bool
    """Whether things at eye level are off as much as others at their distance."""
    opposite: bool
    """Whether it is the other way round below eye level."""


NOTHING = Trend("n/a", "none", False, False)


def trend_of(points: Points, seams: Sequence[int]) -> Trend:
    """The trend over these seams; `NOTHING` without any."""
    chosen = points.where(np.isin(points.seam, np.array(seams, dtype=np.int64)))
    if len(chosen.seam) == 0:
        return NOTHING
    even, nearer = np.ones_like(chosen.distance_m), 1.0 / chosen.distance_m
    alike, inverse = _left_behind(chosen, even), _left_behind(chosen, nearer)
    law: Law = "none" if alike * CLEARER < inverse else "inverse" if inverse * CLEARER < alike else "n/a"
    scaled = np.stack([chosen.right_deg, chosen.up_deg], axis=1) / (nearer if law == "inverse" else even)[:, None]
    right, up = np.sqrt(np.average(scaled**2, axis=0, weights=chosen.weight))
    eye = _by_seam(chosen, scaled, np.abs(chosen.elevation_deg) <= EYE_DEG)
    below = _by_seam(chosen, scaled, _off(-chosen.elevation_deg))
    above = _by_seam(chosen, scaled, _off(chosen.elevation_deg))
    off = max(_size(below), _size(above))
    return Trend(
        law=law,
        direction="vertical" if right < PART * up else "sideways" if up < PART * right else "both",
        at_eye_level=_size(eye) > PART * off,
        opposite=float((below * above).sum()) < -PART * float(np.linalg.norm(below) * np.linalg.norm(above)),
    )


def _left_behind(points: Points, factor: Floats) -> float:
    """Sum of squares that ``factor`` times a line in elevation, in each seam and band, does not explain."""
    steps = np.stack([points.right_deg, points.up_deg], axis=1)
    band = np.floor(points.elevation_deg / BAND_DEG).astype(np.int64)
    left = 0.0
    for cell in {*zip(points.seam.tolist(), band.tolist(), strict=True)}:
        inside = (points.seam == cell[0]) & (band == cell[1])
        root = np.sqrt(points.weight[inside])[:, None]
        columns = np.stack([factor[inside], factor[inside] * points.elevation_deg[inside]], axis=1) * root
        wanted = steps[inside] * root
        found, *_ = np.linalg.lstsq(columns, wanted, rcond=None)
        left += float(((wanted - columns @ found) ** 2).sum())
    return left


def _off(elevation_deg: Floats) -> NDArray[np.bool_]:
    return np.asarray((elevation_deg >= OFF_DEG[0]) & (elevation_deg <= OFF_DEG[1]))


def _by_seam(points: Points, steps: Floats, zone: NDArray[np.bool_]) -> Floats:
    """Mean step (right, up) of each seam over a zone, (seams, 2); zero where a seam shows nothing there."""
    means = []
    for seam in np.unique(points.seam):
        inside = zone & (points.seam == seam)
        means.append(np.average(steps[inside], axis=0, weights=points.weight[inside]) if inside.any() else np.zeros(2))
    return np.array(means)


def _size(steps: Floats) -> float:
    return float(np.sqrt((steps**2).sum(axis=1).mean()))


__all__ = ["NOTHING", "Direction", "Law", "Trend", "trend_of"]
