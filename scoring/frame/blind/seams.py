"""Doubling at the seams of a finished frame, from the echo that a double edge leaves in its gradient.

    g      gradient of brightness along a row, in a strip of azimuth and a belt of elevation
    r(l)   its autocorrelation at the lag l, r(0) = 1
    m      share of the fainter of the two pictures

    two pictures mixed m : 1 - m and shifted by l:    r(l) = m (1 - m) / (m^2 + (1 - m)^2),   r(2 l) = 0
    a repeated pattern of period l (tiles, slats):    r(l) about r(2 l)

        __|_|__   the echo stands at the distance of both      r |\\        echo
          | |     edges, for every edge of the strip that        | \\        /\\
          <-l->   lies about as far away                       0 +--\\__--__/  \\___ l

A strip speaks when its echo stands out of what the other strips of the same belt show: a room full of parallel lines
has echoes everywhere. And all seams but one, three at least, have to bear it out: two places that lie a seam apart turn
up in clean rooms too. Faint copies (under about a quarter of the light) do not show, nor does a soft seam that is much
narrower than a strip: where nothing is found the answer is "cannot tell", never that there is none.
Sources: echo height derived; cepstrum and autocorrelation for echoes, Bogert, Healy, Tukey 1963 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from scoring.frame.blind.sphere import Bytes, CannotTell, Floats, Trace, TraceRole, brightness

STRIP_DEG = 16.0
STEP_DEG = 5.0
BELTS_DEG = ((-50.0, -30.0), (-30.0, -10.0), (-10.0, 10.0), (10.0, 30.0), (30.0, 50.0))
LAG_MAX_DEG = 4.0
LAG_MIN_PX = 3
ECHO_MIN = 0.27
"""Least height of an echo over its surroundings."""
OUTLIER = 4.0
"""... and in spreads of the strips of its belt."""
PATTERN_RATIO = 0.6
"""An echo repeated at twice its lag to this share of itself is a pattern."""
TEXTURE_MIN = 1.5
"""Root mean square of the gradient [steps of 255 a pixel], below which a strip holds too little to tell."""
BELT_ECHO_MAX = 0.45
"""A belt in which only a higher echo would stand out tells nothing."""
PATTERNED_SHARE = 0.02
WIDTH_MAX_PX = 4096
STRIPS_MIN_SHARE = 0.2
HEADINGS = (3, 4, 6)
"""Headings of a spin when nobody says how many there were (common practice, no source)."""
SEAM_SLACK_DEG = 8.0
SEAMS_MIN = 3


@dataclass(frozen=True, slots=True)
class Double:
    """One strip whose edges stand twice: where, how far apart, and how high the echo is (0..1)."""

    azimuth_deg: float
    elevation_deg: float
    doubling_deg: float
    echo: float


@dataclass(frozen=True, slots=True)
class Seams:
    """The doubled strips, one at least."""

    worst_deg: float
    uncertainty_deg: float
    least_deg: float
    """Doublings smaller than this cannot be told from a soft edge at this width of the frame."""
    doubles: tuple[Double, ...]
    traces: tuple[Trace, ...]


def find_seams(rgb: Bytes, headings: int | None = None) -> Seams | CannotTell:
    """Doubling in an sRGB frame (H, W, 3); ``headings``, if known, asks for strips that lie a seam apart."""
    every = max(1, rgb.shape[1] // WIDTH_MAX_PX)
    width = rgb.shape[1] // every
    height = rgb.shape[0] // every
    px_deg = 360.0 / width
    lag_max = round(LAG_MAX_DEG / px_deg)
    if lag_max < 4 * LAG_MIN_PX:
        return CannotTell("seams", "too-small")
    strip, count = round(STRIP_DEG / px_deg), round(360.0 / STEP_DEG)
    lefts = np.round(np.arange(count) * STEP_DEG / px_deg).astype(int)
    found: list[Double] = []
    patterned: list[Double] = []
    told = 0
    for low, high in BELTS_DEG:
        top, bottom = round((90.0 - high) / px_deg), round((90.0 - low) / px_deg)
        grey = _belt(rgb, top, bottom, every, height)
        gradient = np.roll(grey, -1, axis=1) - grey
        # Across the seam of the file the belt goes on.
        gradient = np.concatenate([gradient, gradient[:, : strip + 1]], axis=1)
        echoes = [_echo(gradient[:, left : left + strip], lag_max) for left in lefts]
        heights = np.array([np.nan if echo is None else echo[1] for echo in echoes])
        told += int(np.isfinite(heights).sum())
        if np.isfinite(heights).sum() < 6:
            continue
        middle = float(np.nanmedian(heights))
        bar = middle + OUTLIER * (1.4826 * float(np.nanmedian(np.abs(heights - middle))) + 0.01)
        for left, echo in zip(lefts, echoes, strict=True):
            if echo is None or echo[1] < ECHO_MIN:
                continue
            azimuth_deg = left * px_deg + STRIP_DEG / 2.0
            here = Double(float(azimuth_deg % 360.0) - 180.0, (low + high) / 2.0, echo[0] * px_deg, echo[1])
            if bar > BELT_ECHO_MAX or echo[2] > PATTERN_RATIO * echo[1]:
                patterned.append(here)
            elif echo[1] >= bar:
                found.append(here)
    if told < STRIPS_MIN_SHARE * count * len(BELTS_DEG):
        return CannotTell("seams", "few-edges")
    apart = _apart(found)
    chosen = _borne_out(apart, HEADINGS if headings is None else (headings,))
    if not chosen and apart:
        return CannotTell("seams", "weak-peaks", _traces("strip", apart))
    if not chosen and len(patterned) > PATTERNED_SHARE * told:
        return CannotTell("seams", "repeated-pattern", _traces("strip", _apart(patterned)[:6]))
    if not chosen:
        return CannotTell("seams", "none-seen")
    worst_deg = max(double.doubling_deg for double in chosen)
    return Seams(worst_deg, 0.5 * px_deg, LAG_MIN_PX * px_deg, chosen, _traces("doubled", chosen))


def _belt(rgb: Bytes, top: int, bottom: int, every: int, height: int) -> Floats:
    """Brightness (h, w) of the rows of a belt, thinned to the working width by means."""
    rows = rgb[top * every : min(bottom, height) * every]
    grey = brightness(rows)
    if every == 1:
        return grey
    wide = grey.shape[1] // every * every
    shape = (len(grey) // every, every, wide // every, every)
    thinned: Floats = grey[: shape[0] * every, :wide].reshape(shape).mean(axis=(1, 3))
    return thinned


def _echo(gradient: Floats, lag_max: int) -> tuple[float, float, float] | None:
    """(lag [px], height, height at twice the lag) of the strongest echo in a strip (h, w); None without texture."""
    power = float(np.sqrt((gradient**2).mean()))
    if power < TEXTURE_MIN:
        return None
    # One strong edge must not speak for a whole strip: strong gradients are pressed together.
    pressed = gradient / np.sqrt(np.abs(gradient) + power)
    size = 1 << int(np.ceil(np.log2(gradient.shape[1] + 2 * lag_max + 2)))
    spectrum = (np.abs(np.fft.rfft(pressed, size, axis=1)) ** 2).sum(axis=0)
    echo = np.fft.irfft(spectrum, size)[: 2 * lag_max + 2]
    # Fewer pairs lie far apart than near by.
    echo = echo / echo[0] * gradient.shape[1] / (gradient.shape[1] - np.arange(len(echo)))
    ground = gaussian_filter1d(echo, lag_max / 8.0)
    height = echo - ground
    lags = np.arange(LAG_MIN_PX, lag_max + 1)
    top = (height[lags] >= height[lags - 1]) & (height[lags] > height[lags + 1])
    if not top.any():
        return 0.0, 0.0, 0.0
    best = lags[top][int(np.argmax(height[lags[top]]))]
    a, b, c = height[best - 1], height[best], height[best + 1]
    part = 0.0 if a - 2.0 * b + c == 0.0 else 0.5 * (a - c) / (a - 2.0 * b + c)
    twice = 2 * best
    again = float(height[max(0, twice - 2) : twice + 3].max()) if twice < len(height) else 0.0
    return float(best + part), float(b), again


def _apart(found: list[Double]) -> list[Double]:
    """The strongest strip of each place."""
    kept: list[Double] = []
    for double in sorted(found, key=lambda one: -one.echo):
        if not any(
            abs(_turn(double.azimuth_deg - other.azimuth_deg)) < STRIP_DEG
            and double.elevation_deg == other.elevation_deg
            for other in kept
        ):
            kept.append(double)
    return kept


def _borne_out(apart: list[Double], headings: tuple[int, ...]) -> tuple[Double, ...]:
    """The strips on one set of seams, which nearly all speak: uprights that run through several belts prove nothing."""
    best: list[Double] = []
    for number in headings:
        between = 360.0 / number
        for first in apart:
            on = [
                one
                for one in apart
                if abs((one.azimuth_deg - first.azimuth_deg + between / 2.0) % between - between / 2.0)
                <= SEAM_SLACK_DEG
            ]
            seams = {round((one.azimuth_deg - first.azimuth_deg) / between) % number for one in on}
            enough = len(seams) >= min(number, max(SEAMS_MIN, number - 1))
            if enough and sum(one.echo for one in on) > sum(one.echo for one in best):
                best = on
    return tuple(best)


def _turn(difference_deg: float) -> float:
    return (difference_deg + 180.0) % 360.0 - 180.0


def _traces(role: TraceRole, doubles: Sequence[Double]) -> tuple[Trace, ...]:
    traces = []
    for double in doubles:
        left, low = _turn(float(double.azimuth_deg) - STRIP_DEG / 2.0), double.elevation_deg - 10.0
        traces.append(Trace(role, "box", ((left, low), (left + STRIP_DEG, low + 20.0))))
    return tuple(traces)


__all__ = ["Double", "Seams", "find_seams"]
