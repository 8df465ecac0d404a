"""Seams: how far apart two headings put one and the same thing, in degrees, and where that shows.

At a seam the picture passes from heading j, on its left, to heading k. A point P of the scene that both see is put
at one place by j and at another by k; the angle between the two is the *doubling* of P::

        placed by k    placed by j
              ×────────×            angle = doubling, right = placed by k less placed by j, across
               P is one point        up = the same, upwards

Points lie along rays from where the merger believes the lens, in a strip about each seam. What counts is what shows:
where the pictures of both headings have an edge across the way in which they disagree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.pose import Heading, placed_rows, rays_of_row
from scoring.frame.probe import FAR_M, MIRRORED, hits_along, seen_from
from scoring.light.colour import LUMINANCE, rgb_of_kelvin

Floats = NDArray[Any]
Ints = NDArray[np.int64]

STRIP_DEG = tuple(range(-6, 7, 2))
"""Azimuths of the points, from the seam."""
ELEVATIONS_DEG = tuple(range(-76, 77, 2))
ELSEWHERE_DEG = 20.0
"""Two headings that put most things farther apart than this show different parts of the scene."""
EDGE_REACH_DEG = 1.0
"""How far about a point an edge is looked for: points lie twice as far apart, so that none is missed."""
DARK_LEVEL, CLIPPED_LEVEL, PLAIN_LEVELS = 16.0, 245.0, 24.0
"""Light is compared on plain surfaces that are neither near black nor near white, in levels of 255."""


def _warmth_per_mired() -> float:
    """Growth of ln(red / blue) of daylight for one mired, about 5000 K (200 mired)."""
    cold, warm = (rgb_of_kelvin(1e6 / mired) for mired in (190.0, 210.0))
    return float(np.log(warm.red / warm.blue) - np.log(cold.red / cold.blue)) / 20.0


WARMTH_PER_MIRED = _warmth_per_mired()


class Pair(NamedTuple):
    """A seam: the headings left and right of it, and its azimuth in the frame."""

    number: int
    """From 0; seam i lies to the right of heading i."""
    left: Heading
    right: Heading
    azimuth_deg: float


class Points(NamedTuple):
    """Points that both headings of a seam see; arrays of one length n."""

    seam: NDArray[np.int64]
    """Index of the seam."""
    azimuth_deg: Floats
    elevation_deg: Floats
    distance_m: Floats
    right_deg: Floats
    """Where the right heading puts the point, less where the left one does, across."""
    up_deg: Floats
    doubling_deg: Floats
    weight: Floats
    """Solid angle that the point stands for, over all points of a seam 1 at most."""
    both: NDArray[np.bool_]
    """Whether the merged frame shows both pictures there: within the soft seam, and not under the tripod's cover."""
    shows: NDArray[np.bool_]
    """Whether both show there, and in both an edge that the disagreement moves across itself."""
    edge_levels: Floats
    """Contrast of the edge that is there in both pictures, in levels of 255."""
    light_ev: Floats
    """Doublings of light from the left heading's picture of the point to the right one's; not a number where either is
    too dark or clipped to compare."""
    warmth: Floats
    """Growth of ln(red / blue) from left to right."""

    def where(self, chosen: NDArray[np.bool_]) -> Points:
        """Only the chosen points."""
        return Points._make(column[chosen] for column in self)


@dataclass(frozen=True, slots=True)
class Worst:
    """Where two headings disagree most for a still thing that shows."""

    doubling_deg: float
    right_deg: float
    up_deg: float
    distance_m: float
    azimuth_deg: float
    elevation_deg: float


@dataclass(frozen=True, slots=True)
class Seam:
    """What is off where two headings meet."""

    number: int
    """From 0; seam i lies to the right of heading i."""
    azimuth_deg: float
    shared: bool
    """False when either side was not taken, so that nothing can be compared."""
    worst: Worst | None
    """None when nothing with an edge is seen by both."""
    mean_deg: float
    """Mean doubling over the seam's solid angle, whether it shows or not."""
    typical_deg: float
    """Doubling that nine tenths of what shows stay under."""
    horizon_step_deg: float
    """How far up the horizon jumps from left to right."""
    exposure_step_ev: float
    """Doublings of light from left to right, over the same things."""
    colour_step_mired: float
    """How much warmer the right side is."""


def pairs_of(headings: Sequence[Heading]) -> tuple[Pair, ...]:
    """The seams of a spin: between each heading and the next to its right, halfway where the merger believes them."""
    ring = sorted(headings, key=lambda heading: heading.believed_deg % 360.0)
    pairs = []
    for left, right in zip(ring, ring[1:] + ring[:1], strict=True):
        gap = (right.believed_deg - left.believed_deg) % 360.0 or 360.0
        middle = left.believed_deg + 0.5 * gap
        pairs.append(Pair(left.index, left, right, (middle + 180.0) % 360.0 - 180.0))
    return tuple(pairs)


def directions(azimuth_deg: Any, elevation_deg: Any) -> Floats:
    """Unit vectors (n, 3) in the frame's axes: forward, left, up."""
    lon, lat = np.radians(azimuth_deg), np.radians(elevation_deg)
    return np.stack([np.cos(lat) * np.cos(lon), -np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def apart(first_deg: Floats, second_deg: Floats) -> tuple[Floats, Floats, Floats]:
    """Angle between places (n, 2) of azimuth and elevation, and how far the second is right of and above the first.

    All in degrees; "right" is measured on the sphere, so that it is the same near the zenith.
    """
    a, b = directions(first_deg[:, 0], first_deg[:, 1]), directions(second_deg[:, 0], second_deg[:, 1])
    cross = np.linalg.norm(np.cross(a, b), axis=1)
    angle = np.degrees(np.arctan2(cross, (a * b).sum(axis=1)))
    turn = (second_deg[:, 0] - first_deg[:, 0] + 180.0) % 360.0 - 180.0
    middle = np.radians(0.5 * (first_deg[:, 1] + second_deg[:, 1]))
    return angle, turn * np.cos(middle), second_deg[:, 1] - first_deg[:, 1]


def doubling(left: Heading, right: Heading, points_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Of world points (n, 3): the angle between where two headings put them, and its right and up parts [deg]."""
    return apart(placed_rows(left.row(), points_m), placed_rows(right.row(), points_m))


class Strip(NamedTuple):
    """The pictures of both headings of a seam about it, as the merger would lay each of them."""

    left_rim_deg: float
    """Azimuth of the left rim."""
    top_deg: float
    """Elevation of the upper rim."""
    px_per_deg: float
    left: Floats
    """(h, w, 3) linear, of the heading left of the seam."""
    right: Floats
    left_levels: Floats
    """(h, w) as displayed, 0..255."""
    right_levels: Floats


def seam_points(
    scene: Any,
    lens_m: Floats,
    to_world: Floats,
    pair: Pair,
    strip: Strip | None,
    feather_deg: float,
    edge_levels: float,
    cover_deg: float = 0.0,
) -> Points:
    """Points about one seam that both headings see, and how far apart they put them.

    ``lens_m`` is where the merger believes the lens, ``to_world`` (3, 3) turns the frame's axes into the world's,
    ``feather_deg`` is half the width of the soft seam, where alone both pictures show; ``edge_levels`` is the least
    contrast of an edge that counts, in levels of 255. Without a strip nothing shows, nor does anything within
    ``cover_deg`` of the nadir, where the tripod is covered.
    """
    az, el = (g.ravel() for g in np.meshgrid(pair.azimuth_deg + np.array(STRIP_DEG), np.array(ELEVATIONS_DEG)))
    rays = directions(az, el) @ to_world.T
    faces, away = hits_along(scene, lens_m, rays, pair.left.shot_bit)
    points = lens_m + rays * away[:, None]
    both = faces != MIRRORED
    for heading in (pair.left, pair.right):
        both &= seen_from(scene, heading.origin_m, points, heading.shot_bit)
    az, el, away, points = az[both], el[both], away[both], points[both]
    first, second = placed_rows(pair.left.row(), points), placed_rows(pair.right.row(), points)
    angle, right, up = apart(first, second)
    share = np.cos(np.radians(el)) / (np.cos(np.radians(ELEVATIONS_DEG)).sum() * len(STRIP_DEG))
    if strip is None:
        crossed = edges = np.zeros(len(el))
        light = red = np.full(len(el), np.nan)
    else:
        left_edges = _edges(strip, strip.left_levels, first, right, up)
        right_edges = _edges(strip, strip.right_levels, second, right, up)
        crossed, edges = (np.minimum(*both) for both in zip(left_edges, right_edges, strict=True))
        light, red = _steps(strip, first, second)
    azimuth = (az + 180.0) % 360.0 - 180.0
    index = np.full(len(az), pair.number)
    beside = np.abs((az - pair.azimuth_deg + 180.0) % 360.0 - 180.0)
    mixed = (beside <= feather_deg) & (el > cover_deg - 90.0)
    shows = mixed & (crossed >= edge_levels)
    return Points(index, azimuth, el, away, right, up, angle, share, mixed, shows, edges, light, red)


def seam_of(pair: Pair, points: Points) -> Seam:
    """What is off at one seam, given its points and no others."""
    shared = pair.left.taken and pair.right.taken and not _elsewhere(pair, points)
    shown = points.where(points.shows)
    light, warmth = _middle(points.light_ev, points.weight), _middle(points.warmth, points.weight)
    first, second = (placed_rows(heading.row(), _horizon_point(pair, pair.left)) for heading in (pair.left, pair.right))
    return Seam(
        number=pair.number,
        azimuth_deg=pair.azimuth_deg,
        shared=shared,
        worst=_worst(shown) if shared else None,
        mean_deg=float(np.average(points.doubling_deg, weights=points.weight)) if shared and len(points.seam) else 0.0,
        typical_deg=_quantile(shown.doubling_deg, shown.weight, 0.9) if shared else 0.0,
        horizon_step_deg=float(apart(first, second)[2][0]) if shared else 0.0,
        exposure_step_ev=light if shared else 0.0,
        colour_step_mired=warmth / WARMTH_PER_MIRED if shared else 0.0,
    )


def _elsewhere(pair: Pair, points: Points) -> bool:
    """Whether the two sides do not show the same part of the scene at all."""
    return len(points.seam) == 0 or float(np.median(points.doubling_deg)) > ELSEWHERE_DEG


def _horizon_point(pair: Pair, heading: Heading) -> Floats:
    """A far point (1, 3) on the horizon about where a heading shows the seam."""
    _, ray = rays_of_row(heading.row(), np.array([[pair.azimuth_deg, 0.0]]))
    level = np.array([ray[0, 0], ray[0, 1], 0.0])
    return np.asarray(heading.origin_m + FAR_M * level / np.linalg.norm(level))[None, :]


def _worst(points: Points) -> Worst | None:
    if len(points.seam) == 0:
        return None
    at = int(np.argmax(points.doubling_deg))
    return Worst(
        doubling_deg=float(points.doubling_deg[at]),
        right_deg=float(points.right_deg[at]),
        up_deg=float(points.up_deg[at]),
        distance_m=float(points.distance_m[at]),
        azimuth_deg=float(points.azimuth_deg[at]),
        elevation_deg=float(points.elevation_deg[at]),
    )


def _quantile(values: Floats, weights: Floats, share: float) -> float:
    """The value that ``share`` of the weight stays under; 0 of nothing."""
    if len(values) == 0:
        return 0.0
    order = np.argsort(values)
    below = np.cumsum(weights[order])
    at = min(int(np.searchsorted(below, share * below[-1])), len(order) - 1)
    return float(values[order][at])


def _middle(values: Floats, weights: Floats) -> float:
    """Weighted median of what is a number; 0 of nothing."""
    known = np.isfinite(values)
    return _quantile(values[known], weights[known], 0.5)


def _edges(
    strip: Strip, levels: Floats, places_deg: Floats, right_deg: Floats, up_deg: Floats
) -> tuple[Floats, Floats]:
    """Contrast about each place (n,) across the way of the disagreement, and across whatever way has most of it."""
    reach = max(1, round(EDGE_REACH_DEG * strip.px_per_deg))
    x, y = _pixels(strip, places_deg)
    across, upright = _range_at(levels, x, y, reach, 1), _range_at(levels, x, y, reach, 0)
    length = np.hypot(right_deg, up_deg)
    share = np.divide(np.abs(right_deg), length, out=np.full_like(length, np.sqrt(0.5)), where=length > 0.0)
    crossed: Floats = np.hypot(across * share, upright * np.sqrt(np.maximum(0.0, 1.0 - share**2)))
    return crossed, np.maximum(across, upright)


def _range_at(levels: Floats, x: Ints, y: Ints, reach: int, axis: int) -> Floats:
    """Greatest less smallest level within ``reach`` pixels along one axis, at the given pixels."""
    offsets = np.arange(-reach, reach + 1)
    dx, dy = (offsets, 0 * offsets) if axis == 1 else (0 * offsets, offsets)
    height, width = levels.shape
    around = levels[np.clip(y[:, None] + dy, 0, height - 1), np.clip(x[:, None] + dx, 0, width - 1)]
    return np.asarray(around.max(axis=1) - around.min(axis=1), dtype=np.float64)


def _steps(strip: Strip, first_deg: Floats, second_deg: Floats) -> tuple[Floats, Floats]:
    """Doublings of light and growth of ln(red / blue) from the left picture of each point to the right one."""
    pixels = []
    for picture, levels, places in (
        (strip.left, strip.left_levels, first_deg),
        (strip.right, strip.right_levels, second_deg),
    ):
        x, y = _pixels(strip, places)
        rgb = picture[y, x].astype(np.float64)
        usable = (levels[y, x] > DARK_LEVEL) & (levels[y, x] < CLIPPED_LEVEL) & (rgb > 0.0).all(axis=1)
        usable &= _range_at(levels, x, y, 1, 0) + _range_at(levels, x, y, 1, 1) < PLAIN_LEVELS
        rgb[~usable] = np.nan
        pixels.append(rgb)
    left, right = pixels
    light = np.log2((right @ LUMINANCE) / (left @ LUMINANCE))
    warmth = np.log(right[:, 0] / right[:, 2]) - np.log(left[:, 0] / left[:, 2])
    return light, warmth


def _pixels(strip: Strip, places_deg: Floats) -> tuple[Ints, Ints]:
    """Column and row of the pixels that hold places (n, 2); those beyond the strip are at its rim."""
    height, width = strip.left_levels.shape
    middle = strip.left_rim_deg + 0.5 * width / strip.px_per_deg
    turn = (places_deg[:, 0] - middle + 180.0) % 360.0 - 180.0
    x = np.floor(turn * strip.px_per_deg + 0.5 * width)
    y = np.floor((strip.top_deg - places_deg[:, 1]) * strip.px_per_deg)
    return np.clip(x, 0, width - 1).astype(np.int64), np.clip(y, 0, height - 1).astype(np.int64)


__all__ = [
    "Pair", "Points", "Seam", "Strip", "Worst", "apart", "directions", "doubling", "pairs_of", "seam_of", "seam_points",
]  # fmt: skip
