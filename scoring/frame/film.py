"""What the lens does to light before it is recorded: veil, halo, haze, glare, shade and softness, on the film.

Everything here is as wide as the lens's own blur of things on its glass, and so is kept on a coarse map of the film,
one for each heading. A pixel of radiance L becomes ``keep`` L + ``stray``, and is mixed with its blurred neighbours by
``soft``. Stray light is what was taken away somewhere, spread by a spread function over what that heading sees: none is
made up. Dirt is far out of focus: it takes a share of the light and scatters it (Gu, Ramamoorthi, Belhumeur and
Nayar 2009).

The map is laid out by angle from the lens axis, to the left and up::

      q up                              M points across
      ▲        ┌───────────────┐        from -REACH to +REACH degrees
      │        │    . edge .   │
      │        │  .         .  │        place = angle from the axis x (left, up)
      └──▶ p   │  .    +    .  │
      left     └───────────────┘
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.ndimage import gaussian_filter, map_coordinates, maximum_filter
from scipy.signal import fftconvolve

from scoring.frame.pose import Heading, Smudge
from scoring.frame.spin import Spin
from scoring.frame.stage import Stage
from scoring.frame.threads import on_threads

Rows = NDArray[Any]

SIZE = 144
REACH_DEG = 108.0
STEP_DEG = 2.0 * REACH_DEG / SIZE
CLEAN_VEIL_SHARE = 0.005
"""Light that a clean lens spreads over its whole picture. Good lenses about 1 % and less (common practice)."""
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
GLARE_CORE_DEG = 12.0
"""Within this of its source glare is at its strongest; beyond, it falls as the distance squared."""
SPOT_STRENGTH = 1.6
NEAR_FIELD_DEG = 25.0
"""A source this far beyond the field still lights the glass."""


@dataclass(frozen=True, slots=True, eq=False)
class Strays:
    """What a heading's lens does, on the film: (SIZE, SIZE) and (SIZE, SIZE, 3), row 0 lowest, column 0 rightmost."""

    keep: Rows
    stray_cd_m2: Rows
    soft: Rows
    even: bool
    """Whether keep and stray are the same everywhere and nothing is soft."""

    @property
    def glass(self) -> Rows:
        """All of it at each place, side by side: keep, soft and the stray light, (SIZE, SIZE, 5)."""
        return np.concatenate([self.keep[..., None], self.soft[..., None], self.stray_cd_m2], axis=-1)


def film_places(every: int = 1) -> tuple[Rows, Rows, Rows]:
    """Angles (left, up) of the map's points and from the axis, (SIZE, SIZE) each [deg]; every so many of them."""
    at = (np.arange(0, SIZE, every) + 0.5 * every) * STEP_DEG - REACH_DEG
    left, up = np.meshgrid(at, at)
    return left, up, np.hypot(left, up)


def strays_of(stage: Stage, spin: Spin) -> list[Strays]:
    """The strays of every heading of a spin."""
    if all(_even(heading) for heading in spin.headings):
        return [_clean(stage, spin, heading) for heading in spin.headings]
    views = on_threads(lambda heading: _view(stage, heading), spin.headings)
    glares = _glares(stage, spin, views)
    of = list(zip(spin.headings, views, glares, strict=True))
    return on_threads(lambda one: _strays(spin, *one), of)


def _even(heading: Heading) -> bool:
    """Whether a heading's lens does the same to all of the picture."""
    film = heading.film
    return heading.is_seated and not (film.fog_share or film.smudge or film.glare_share or film.held)


def _clean(stage: Stage, spin: Spin, heading: Heading) -> Strays:
    """The strays of a clean lens: its even veil, from a thinned view."""
    veil = 1.0 - (1.0 - CLEAN_VEIL_SHARE) * (1.0 - heading.film.veil_share)
    mean = _mean(_view(stage, heading, 4), 0.5 * spin.lens.field_deg, 4)
    stray = np.full((SIZE, SIZE, 3), veil * mean, np.float32)
    return Strays(np.full((SIZE, SIZE), 1.0 - veil, np.float32), stray, np.zeros((SIZE, SIZE), np.float32), True)


def _mean(view: Rows, half_deg: float, every: int = 1) -> Rows:
    """Mean light over the field, by solid angle, (3,)."""
    _, _, away = film_places(every)
    weight = np.where(away <= half_deg, np.sinc(away / 180.0), 0.0)
    out: Rows = (view * weight[..., None]).sum(axis=(0, 1)) / weight.sum()
    return out


def _view(stage: Stage, heading: Heading, every: int = 1) -> Rows:
    """What a heading sees on the map, (SIZE, SIZE, 3) [cd/m2], beyond its field too; every so many points of it."""
    left, up, away = film_places(every)
    angle = np.radians(away)
    across = np.sin(angle) / np.maximum(away, 1e-9)
    camera = np.stack([np.cos(angle), left * across, up * across], axis=-1)
    return _around(stage, camera @ heading.attitude.T)


def _around(stage: Stage, directions: Rows) -> Rows:
    """The stage's map of light in world directions (..., 3)."""
    rows, columns = stage.around_cd_m2.shape[:2]
    azimuth = np.arctan2(directions[..., 1], directions[..., 0]) % (2.0 * math.pi)
    v = np.arccos(np.clip(directions[..., 2], -1.0, 1.0)) / math.pi * rows - 0.5
    u = azimuth / (2.0 * math.pi) * columns - 0.5
    at = [np.clip(v, 0, rows - 1), u % columns]
    parts = [map_coordinates(stage.around_cd_m2[..., k], at, order=1, mode="grid-wrap") for k in range(3)]
    return np.stack(parts, axis=-1).astype(np.float64)


def _strays(spin: Spin, heading: Heading, view: Rows, glare: Rows | None) -> Strays:
    _, _, away = film_places()
    film = heading.film
    half_deg = 0.5 * spin.lens.field_deg
    mean = _mean(view, half_deg)
    veil = 1.0 - (1.0 - CLEAN_VEIL_SHARE) * (1.0 - film.veil_share)
    keep = np.full((SIZE, SIZE), 1.0 - veil)
    stray = np.broadcast_to(veil * mean, (SIZE, SIZE, 3)).copy()
    soft = np.zeros((SIZE, SIZE))
    even = True
    inside = np.where((away <= half_deg)[..., None], view, mean)
    if film.fog_share > 0.0:
        halo = 0.35 * _spread(inside, 1.6) + 0.3 * _spread(inside, 6.0) + 0.35 * mean
        keep, stray = _over(keep, stray, 1.0 - film.fog_share, film.fog_share * halo)
        even = False
    if film.smudge is not None:
        share = _patch(film.smudge, half_deg) * film.smudge.loss
        haze = 0.4 * _streak(inside, film.smudge.grain_deg) + 0.35 * _spread(inside, 4.5) + 0.25 * mean
        keep, stray = _over(keep, stray, 1.0 - share, share[..., None] * haze)
        even = False
    if glare is not None:
        stray = stray + glare
        even = False
    if not heading.is_seated:
        shade, soft = _seat(*_off_axis(heading), half_deg)
        keep, stray = _over(keep, stray, shade, 0.0)
        even = False
    if film.held:
        share = _held(film.held, film.held_toward_deg)
        colour = np.array([0.62, 0.40, 0.30]) if film.held == "finger" else np.array([0.06, 0.06, 0.065])
        keep, stray = _over(keep, stray, 1.0 - share, share[..., None] * colour * 0.7 * mean)
        even = False
    return Strays(keep.astype(np.float32), stray.astype(np.float32), soft.astype(np.float32), even)


def _over(keep: Rows, stray: Rows, share: Any, more: Any) -> tuple[Rows, Rows]:
    """One layer after another: what comes through is dimmed and added to."""
    share = np.broadcast_to(np.asarray(share, dtype=np.float64), keep.shape)
    return keep * share, stray * share[..., None] + more


def _spread(view: Rows, wide_deg: float) -> Rows:
    return np.stack([gaussian_filter(view[..., k], wide_deg / STEP_DEG, mode="nearest") for k in range(3)], axis=-1)


def _streak(view: Rows, grain_deg: float) -> Rows:
    """Light thrown across the grooves of a wipe: a long thin spread square to them."""
    reach = 20
    at = np.arange(-reach, reach + 1) * STEP_DEG
    left, up = np.meshgrid(at, at)
    across = math.radians(grain_deg + 90.0)
    along = -left * math.cos(across) + up * math.sin(across)
    aside = left * math.sin(across) + up * math.cos(across)
    kernel = np.exp(-0.5 * (aside / (0.8 * STEP_DEG)) ** 2) * np.exp(-np.abs(along) / 9.0)
    kernel /= kernel.sum()
    wide = np.pad(view, ((reach, reach), (reach, reach), (0, 0)), mode="edge")
    parts = [fftconvolve(wide[..., k], kernel, mode="valid") for k in range(3)]
    out: Rows = np.maximum(np.stack(parts, axis=-1), 0.0)
    return out


def _patch(smudge: Smudge, half_deg: float) -> Rows:
    """How much of the light at each place goes through the smear, 0..1: soft, as it is far out of focus."""
    left, up, _ = film_places()
    toward = math.radians(smudge.toward_deg)
    dx = left + smudge.off_axis_deg * math.cos(toward)
    dy = up - smudge.off_axis_deg * math.sin(toward)
    radius = half_deg * math.sqrt(smudge.share)
    grain = math.radians(smudge.grain_deg)
    along = -dx * math.cos(grain) + dy * math.sin(grain)
    aside = dx * math.sin(grain) + dy * math.cos(grain)
    away = np.hypot(along / 1.25, aside * 1.25) / max(radius, 1e-6)
    away = away * (1.0 + 0.08 * np.sin(aside * 0.31 + 1.0) + 0.05 * np.sin(along * 0.23))
    wiped = 0.9 + 0.1 * np.sin(aside * 0.55)
    return _step((1.3 - away) / 0.6) * wiped


def _step(x: Any) -> Rows:
    t = np.clip(x, 0.0, 1.0)
    out: Rows = t * t * (3.0 - 2.0 * t)
    return out


def _off_axis(heading: Heading) -> tuple[float, float]:
    """How far a lens that is not home is off to the left and up, as the picture shows it [deg]."""
    p, q = np.degrees(heading.lens_shift)
    axis = heading.lens_turn[:, 0]
    return float(p + 0.5 * math.degrees(axis[1])), float(q + 0.5 * math.degrees(axis[2]))


@lru_cache(maxsize=12)
def _seat(p: float, q: float, half_deg: float) -> tuple[Rows, Rows]:
    """Shade over the shade that the merger takes out, and softness, of a lens that is off to one side by so much.

    The lens's bundle of light no longer fills the camera's pupil on the side that the picture has moved away from.
    """
    left, up, away = film_places()
    off_deg = math.hypot(p, q)
    side = -(left * p + up * q) / np.maximum(away, 1e-9) / max(off_deg, 1e-9)
    toward = away / half_deg
    off = toward + side * np.minimum(toward / 0.4, 1.0) * min(10.0 * off_deg / half_deg, 0.5)
    shade = natural_shade(off) / natural_shade(toward)
    soft = _step((off - toward) * 4.0) * _step(toward / 0.6)
    return np.minimum(shade, 1.12), soft


def natural_shade(toward: Rows) -> Rows:
    """How much light is left at a share of the way from the lens axis to the edge of its field."""
    return 1.0 - 0.93 * _step((toward - 0.62) / 0.58)


def _held(what: str, toward_deg: float) -> Rows:
    """Share of each place that a thing right before the lens covers."""
    left, up, _ = film_places()
    toward = math.radians(toward_deg)
    along = -left * math.cos(toward) + up * math.sin(toward)
    aside = left * math.sin(toward) + up * math.cos(toward)
    if what == "finger":
        tip = 44.0
        body = np.where(along < tip + 16.0, np.hypot(along - tip - 16.0, aside), np.abs(aside))
        return _step((17.0 - body) / 7.0 + 0.5)
    sway = 5.0 * np.sin(along * 0.06)
    return _step((3.6 - np.abs(aside - sway)) / 3.0 + 0.5) * _step((along - 38.0) / 5.0)


def _glares(stage: Stage, spin: Spin, views: list[Rows]) -> list[Rows | None]:
    """Stray light of each heading from bright sources in or near its field, (SIZE, SIZE, 3) [cd/m2]."""
    if not any(heading.film.glare_share > 0.0 for heading in spin.headings):
        return [None] * len(views)
    left, up, away = film_places()
    room = float(np.median(stage.around_cd_m2 @ LUMINANCE))
    near = away <= 0.5 * spin.lens.field_deg + NEAR_FIELD_DEG
    square = (np.sinc(away / 180.0) * math.radians(STEP_DEG) ** 2)[..., None]

    def thrown(one: tuple[Heading, Rows]) -> tuple[Rows, Rows, float]:
        """What lights the glass, what the glass throws about of it, and the most of that beside a source."""
        heading, view = one
        bright = ((view @ LUMINANCE) > 8.0 * room) & near
        source = np.where(bright[..., None], view, 0.0) * square
        if stage.sunny:
            _add_sun(stage, heading, source, near)
        veil = _thrown(source)
        beside = (away <= 60.0) & ~maximum_filter(source.any(axis=-1), 5)
        return source, veil, float(np.where(beside, veil @ LUMINANCE, 0.0).max())

    found = on_threads(thrown, list(zip(spin.headings, views, strict=True)))
    most = max(peak for _, _, peak in found)

    def glare(one: tuple[Heading, tuple[Rows, Rows, float]]) -> Rows | None:
        heading, (source, veil, _) = one
        share = min(heading.film.glare_share, 0.95)
        if most <= 0.0 or share <= 0.0:
            return None
        light = np.maximum(veil, 0.0) * (share / (1.0 - share) * room / most)
        return light + _spots(heading, source, light, left, up)

    return on_threads(glare, list(zip(spin.headings, found, strict=True)))


def _thrown(source: Rows) -> Rows:
    """What the glass throws about of a source's light, falling as the distance squared: a convolution, in a ring."""
    across = fft.rfft2(source.transpose(2, 0, 1), (2 * SIZE, 2 * SIZE)) * _thrown_spectrum()
    out: Rows = fft.irfft2(across)[:, :SIZE, :SIZE].transpose(1, 2, 0)
    return out


@lru_cache(maxsize=1)
def _thrown_spectrum() -> Rows:
    """Spectrum of the spread function in a ring that is as wide as it reaches, so that nothing comes round."""
    reach = fft.fftfreq(2 * SIZE, 1.0 / (2 * SIZE)) * STEP_DEG
    out: Rows = fft.rfft2(1.0 / (reach[None, :] ** 2 + reach[:, None] ** 2 + GLARE_CORE_DEG**2))
    return out


def _add_sun(stage: Stage, heading: Heading, source: Rows, near: Rows) -> None:
    """The sun's own light on the lens, at its place on the map."""
    x, y, z = heading.attitude.T @ np.array(stage.sky.toward_sun)
    angle = math.degrees(math.acos(max(-1.0, min(1.0, x))))
    across = math.hypot(y, z)
    i = int((angle * y / max(across, 1e-9) + REACH_DEG) / STEP_DEG)
    j = int((angle * z / max(across, 1e-9) + REACH_DEG) / STEP_DEG)
    if 0 <= i < SIZE and 0 <= j < SIZE and near[j, i]:
        source[j, i] += stage.sky.sun_rgb_lx


_SPOTS = ((-0.42, 3.2, 0.9), (0.55, 2.2, 0.7), (0.85, 4.5, 0.5), (-0.2, 1.6, 1.0), (1.15, 6.0, 0.35), (0.3, 2.8, 0.6))
"""Place on the line through the middle (1 = as far off as the source, on the other side), radius [deg], strength."""


def _spots(heading: Heading, source: Rows, light: Rows, left: Rows, up: Rows) -> Rows:
    """Images of the source between the lens's surfaces, on the line from it through the middle."""
    power = source @ LUMINANCE
    out = np.zeros_like(light)
    total = float(power.sum())
    if total <= 0.0 or heading.film.glare_spots == 0:
        return out
    j, i = np.unravel_index(int(gaussian_filter(power, 2.0).argmax()), power.shape)
    p, q = left[j, i], up[j, i]
    colour = source.sum(axis=(0, 1)) / total
    peak = float((light @ LUMINANCE).max())
    for k, (along, radius, strong) in enumerate(_SPOTS[: heading.film.glare_spots]):
        away = np.hypot(left + along * p, up + along * q)
        disc = _step((radius - away) / 1.5 + 0.5) * (0.55 + 0.45 * np.minimum(away / radius, 1.0))
        tint = np.array([(1.1, 0.95, 0.85), (0.8, 1.05, 1.15), (0.95, 1.1, 0.9)][k % 3])
        out += disc[..., None] * (SPOT_STRENGTH * strong * peak) * colour * tint
    return out


__all__ = ["CLEAN_VEIL_SHARE", "REACH_DEG", "SIZE", "STEP_DEG", "Strays", "film_places", "natural_shade", "strays_of"]
