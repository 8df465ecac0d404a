"""Sharpness: how wide a sharp edge becomes, across and upwards, in degrees.

A window of a heading as it was taken is compared with the same window through a perfect lens. Blur takes from each wave
of the picture a share that falls with its frequency f [cycles per degree]; for a spread of second moment s^2

    share(f) = exp(-2 pi^2 (s_x^2 f_x^2 + s_y^2 f_y^2))

fitted by least squares to the spectrum of the window, weighed by f so that fine detail counts as much as coarse.
For a Gaussian blur the rise of an edge from 10 to 90 % is 2.5631 s, for a smear of length w 0.8 w = 2.77 s: ISO 12233's
edge, worked by calculus.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

Softness = Literal["none", "even", "along", "one side", "some"]

RISE_PER_SPREAD = 2.5631
LOWEST_CYCLES = 3
"""Waves longer than this part of the window belong to the light, not to detail."""
HIGHEST_SHARE = 0.35
"""Waves of more cycles per pixel than this are left out: the pixel's own blur is in them."""
DETAIL_MIN = 1e-4
START_DEG = 0.05
SMEAR = 2.0
"""Blur that is so many times wider across than upwards is a smear."""
SHARPER = 0.5
"""One side is soft when edges on the other rise in this share of the degrees at most."""


class Window(NamedTuple):
    """One window of a heading, seen and perfect, in luminance (h, w)."""

    azimuth_deg: float
    elevation_deg: float
    px_per_deg: float
    clean: NDArray[Any]
    seen: NDArray[Any]


@dataclass(frozen=True, slots=True)
class Rise:
    """Rise of a sharp edge from 10 to 90 % in one window, on the sphere; 0 where it is as sharp as can be."""

    across_deg: float
    up_deg: float
    azimuth_deg: float
    elevation_deg: float

    @property
    def worst_deg(self) -> float:
        """Of both directions."""
        return max(self.across_deg, self.up_deg)


def rise_of(window: Window) -> Rise | None:
    """How an edge rises in a window; None where the picture has no detail to tell by."""
    height, width = window.clean.shape
    fx = np.fft.rfftfreq(width)[None, :] * window.px_per_deg
    fy = np.fft.fftfreq(height)[:, None] * window.px_per_deg
    f = np.hypot(fx, fy)
    lowest = LOWEST_CYCLES * window.px_per_deg / min(height, width)
    inside = (f >= lowest) & (f <= HIGHEST_SHARE * window.px_per_deg)
    clean, seen = (np.fft.rfft2(_tapered(picture))[inside] * f[inside] for picture in (window.clean, window.seen))
    detail = float(np.sqrt((np.abs(clean) ** 2).mean()) / (np.abs(window.clean).mean() * window.clean.size))
    if not detail >= DETAIL_MIN:
        return None
    x2, y2 = (np.broadcast_to(axis**2, f.shape)[inside] for axis in (fx, fy))
    size = float(np.sqrt((np.abs(seen) ** 2).sum()))

    def shown(of: NDArray[Any]) -> NDArray[Any]:
        kept = np.exp(of[0] - 2.0 * np.pi**2 * (of[1] ** 2 * x2 + of[2] ** 2 * y2))
        return np.asarray(kept * clean / size)

    def left(of: NDArray[Any]) -> NDArray[Any]:
        gap = seen / size - shown(of)
        return np.concatenate([gap.real, gap.imag])

    def growth(of: NDArray[Any]) -> NDArray[Any]:
        down = shown(of)
        columns = (-down, 4.0 * np.pi**2 * of[1] * x2 * down, 4.0 * np.pi**2 * of[2] * y2 * down)
        return np.stack([np.concatenate([column.real, column.imag]) for column in columns], axis=1)

    gain = np.log(max(size / float(np.sqrt((np.abs(clean) ** 2).sum())), 1e-6))
    start, scale = [gain, START_DEG, START_DEG], [1.0, 0.1, 0.1]
    best = least_squares(left, start, growth, x_scale=scale, xtol=1e-4, ftol=1e-6).x
    across, up = (RISE_PER_SPREAD * abs(float(value)) for value in best[1:])
    across *= math.cos(math.radians(window.elevation_deg))
    return Rise(across, up, window.azimuth_deg, window.elevation_deg)


def _tapered(picture: NDArray[Any]) -> NDArray[Any]:
    """A window without its mean, faded out to its rim, so that its ends do not count as an edge."""
    height, width = picture.shape
    fade = np.hanning(height)[:, None] * np.hanning(width)[None, :]
    mean = float((picture * fade).sum() / fade.sum())
    return np.asarray((picture - mean) * fade)


@dataclass(frozen=True, slots=True)
class Blur:
    """Sharpness of one frame."""

    worst_deg: float
    """Rise of an edge from 10 to 90 % in the softest heading, the wider way."""
    across_deg: float
    """... of that heading, along the horizon ..."""
    up_deg: float
    """... and upwards."""
    azimuth_deg: float
    elevation_deg: float
    by_heading: tuple[float | None, ...]
    """The wider way, of each heading in the order of the frame; None where nothing tells."""
    side_deg: float
    """Of the soft side, the wider way, where the same side of each heading is soft and the other sharp; else 0."""
    pattern: Softness
    """Of what is more than half of the worst: even, along the horizon, or some headings only; or one side of each."""


def blur_of(rises: Sequence[Sequence[Rise]], middles_deg: Sequence[float]) -> Blur:
    """Sharpness of a frame from the windows of each of its headings, whose middles are at these azimuths."""
    softest = [max(own, key=lambda rise: rise.worst_deg, default=None) for own in rises]
    typical = [float(np.median([rise.worst_deg for rise in own])) if own else None for own in rises]
    known = [(deg, rise) for deg, rise in zip(typical, softest, strict=True) if deg is not None and rise is not None]
    if not known:
        return Blur(0.0, 0.0, 0.0, 0.0, 0.0, tuple(typical), 0.0, "none")
    worst_deg, at = max(known, key=lambda one: one[0])
    soft = [deg for deg, _ in known if deg > 0.5 * worst_deg]
    across = float(np.median([rise.across_deg for own in rises for rise in own if rise.worst_deg > 0.5 * worst_deg]))
    up = float(np.median([rise.up_deg for own in rises for rise in own if rise.worst_deg > 0.5 * worst_deg]))
    side_deg = _soft_side(rises, middles_deg)
    pattern: Softness = (
        "one side" if side_deg else "some" if len(soft) < len(known) else "along" if across > SMEAR * up else "even"
    )
    return Blur(worst_deg, across, up, at.azimuth_deg, at.elevation_deg, tuple(typical), side_deg, pattern)


def _soft_side(rises: Sequence[Sequence[Rise]], middles_deg: Sequence[float]) -> float:
    """Rise of an edge on the soft side of the headings, left, right, below or above; 0 where they have none.

    Every window of that half is softer than every one of the other, most headings have windows in either, and in the
    middle the other half is so much sharper.
    """
    sides = [
        (number, (rise.azimuth_deg - middle + 180.0) % 360.0 - 180.0, rise.elevation_deg, rise.worst_deg)
        for number, (own, middle) in enumerate(zip(rises, middles_deg, strict=True))
        for rise in own
    ]
    most = 0.5 * sum(1 for own in rises if own)
    lower = float(np.median([elevation for _, _, elevation, _ in sides]))
    for halves in ([turn < 0.0 for _, turn, _, _ in sides], [elevation < lower for _, _, elevation, _ in sides]):
        first, second = ([one for one, there in zip(sides, halves, strict=True) if there is of] for of in (True, False))
        for soft, sharp in ((first, second), (second, first)):
            if min(len({number for number, *_ in half}) for half in (soft, sharp)) <= most:
                continue
            deg, other = ([one[3] for one in half] for half in (soft, sharp))
            if min(deg) > max(other) and float(np.median(other)) <= SHARPER * float(np.median(deg)):
                return float(np.median(deg))
    return 0.0


__all__ = ["Blur", "Rise", "Softness", "Window", "blur_of", "rise_of"]
