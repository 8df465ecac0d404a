r"""Sectors of azimuth that are no picture, or the same picture twice: a spin that stopped short or was put in twice.

A gap is a run of columns of one flat colour, with the half of the soft seams by which a merger fades into it. A copy is
a stretch of azimuth that looks, edge by edge, like another one some turn further on:  correlation of the gradients of
brightness in both, 1 for the very same picture. What is found of a copy is the least that it is wide.

    out of the gap's tone   ____                        ____  full: told beyond FADE_DEG
                                \                      /
                          half --|-------- gap -------|--
                                  \__________________/        flat
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from scoring.frame.blind.sphere import Bytes, CannotTell, Trace, brightness, elevations_deg

BAND_DEG = 60.0
"""Rows within this elevation are looked at."""
FLAT_STEPS = 2.0
"""A column of a gap differs by no more than this, top to bottom and from its neighbour [steps of 255]."""
GAP_MIN_DEG = 3.0
FADE_DEG = 6.0
"""A fade into a gap is looked for so far beyond its flat part ..."""
FULL_DEG = 4.0
"""... and what the picture is without it, in so wide a stretch beyond that."""
FADE_UNSURE = 0.1
"""A gap's width is good to this share of its fades: the picture does not stay the same under them."""
COPY_WIDTH_DEG = 30.0
COPY_APART_DEG = 36.0
"""A stretch is compared with others at least this far on."""
COPY_CORRELATION = 0.9
COARSE_PX = 512


@dataclass(frozen=True, slots=True)
class Sectors:
    """Gaps and copies. Widths are good to ``uncertainty_deg``."""

    gaps_deg: tuple[float, ...]
    """Width of each gap."""
    copies_deg: tuple[float, ...]
    """Width of each copied stretch ..."""
    apart_deg: tuple[float, ...]
    """... and how far on its twin lies."""
    uncertainty_deg: float
    traces: tuple[Trace, ...]


def flat_columns(rgb: Bytes) -> NDArray[np.bool_]:
    """Which columns (W,) of an sRGB frame (H, W, 3) belong to a gap."""
    height, width = rgb.shape[:2]
    band = rgb[np.abs(elevations_deg(height)) <= BAND_DEG].astype(np.float32)
    spread = (np.quantile(band, 0.98, axis=0) - np.quantile(band, 0.02, axis=0)).max(axis=1)
    middle = np.median(band, axis=0)
    beside = np.abs(middle - np.roll(middle, 1, axis=0)).max(axis=1)
    flat: NDArray[np.bool_] = (spread <= FLAT_STEPS) & ((beside <= FLAT_STEPS) | (np.roll(beside, -1) <= FLAT_STEPS))
    keep = np.zeros(width, bool)
    for start, length in _runs(flat):
        if length * 360.0 / width >= GAP_MIN_DEG:
            keep[(start + np.arange(length)) % width] = True
    return keep


def find_sectors(rgb: Bytes) -> Sectors | CannotTell:
    """Gaps and copied stretches of an sRGB frame (H, W, 3)."""
    width = rgb.shape[1]
    flat = flat_columns(rgb)
    if flat.all():
        return CannotTell("sectors", "flat")
    step_deg = 360.0 / width
    gaps, unsure_deg = [], step_deg
    for start, length in _runs(flat):
        before, after = (_faded(rgb, end, way) * step_deg for end, way in ((start, -1), (start + length - 1, 1)))
        gaps.append(((start * step_deg - before) % 360.0 - 180.0, length * step_deg + before + after))
        unsure_deg = max(unsure_deg, FADE_UNSURE * (before + after))
    copies = _copies(rgb, flat)
    traces = [Trace("gap", "box", ((left, -BAND_DEG), (left + wide, BAND_DEG))) for left, wide in gaps]
    for left, wide, apart in copies:
        for at in (left, (left + apart + 180.0) % 360.0 - 180.0):
            traces.append(Trace("copy", "box", ((at, -BAND_DEG), (at + wide, BAND_DEG))))
    return Sectors(
        tuple(wide for _, wide in gaps),
        tuple(wide for _, wide, _ in copies),
        tuple(apart for _, _, apart in copies),
        max(unsure_deg, 360.0 / COARSE_PX) if copies else unsure_deg,
        tuple(traces),
    )


def _faded(rgb: Bytes, end: int, way: int) -> int:
    """How many columns beyond the last flat one less than half of the picture is left, going left (-1) or right (1)."""
    height, width = rgb.shape[:2]
    reach, full = (round(deg / 360.0 * width) for deg in (FADE_DEG, FULL_DEG))
    columns = (end + way * np.arange(1 + reach + full)) % width
    band = rgb[np.abs(elevations_deg(height)) <= BAND_DEG][:, columns].astype(np.float32)
    out = np.abs(band - np.median(band[:, :1], axis=0)).mean(axis=(0, 2))
    return int(np.argmax(out[1:] >= 0.5 * np.median(out[1 + reach :])))


def _copies(rgb: Bytes, flat: NDArray[np.bool_]) -> list[tuple[float, float, float]]:
    """(left [deg], width [deg], apart [deg]) of stretches that are seen again further on; the widest of each lag."""
    height, width = rgb.shape[:2]
    every = max(1, width // COARSE_PX)
    band = brightness(rgb[np.abs(elevations_deg(height)) <= BAND_DEG][::every])
    columns = band.shape[1] // every
    coarse = band[:, : columns * every].reshape(len(band), columns, every).mean(axis=2)
    edges = np.roll(coarse, -1, axis=1) - np.roll(coarse, 1, axis=1)
    edges[:, np.roll(flat[: columns * every : every], 1) | np.roll(flat[: columns * every : every], -1)] = 0.0
    # Strong edges count no more than ten weak ones: one bright window must not speak for the whole stretch.
    limit = max(1.0, 4.0 * float(np.abs(edges).mean()))
    edges = np.clip(edges, -limit, limit)
    step_deg = 360.0 / columns
    window = round(COPY_WIDTH_DEG / step_deg)
    energy = uniform_filter1d((edges**2).sum(axis=0), window, mode="wrap")
    least = 0.1 * float(energy.mean())
    best: list[tuple[float, float, float]] = []
    for lag in range(round(COPY_APART_DEG / step_deg), columns // 2 + 1):
        other = np.roll(edges, -lag, axis=1)
        product = uniform_filter1d((edges * other).sum(axis=0), window, mode="wrap")
        size = np.sqrt(energy * np.roll(energy, -lag))
        alike = (product > COPY_CORRELATION * size) & (size > least)
        for start, length in _runs(alike):
            # A window is alike while less than the rest of the correlation hangs over the stretch's end.
            inside = window * (2.0 * COPY_CORRELATION - 1.0)
            left = (start - inside / 2.0) * step_deg
            best.append(((left % 360.0) - 180.0, (length - 1 + inside) * step_deg, lag * step_deg))
    best.sort(key=lambda copy: -copy[1])
    kept: list[tuple[float, float, float]] = []
    for copy in best:
        if all(abs((copy[0] - other[0] + 180.0) % 360.0 - 180.0) >= other[1] for other in kept):
            kept.append(copy)
    return kept[:3]


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """(first, length) of every run of True on a ring."""
    size = len(flags)
    if flags.all():
        return [(0, size)]
    starts = np.flatnonzero(flags & ~np.roll(flags, 1))
    ends = np.flatnonzero(flags & ~np.roll(flags, -1))
    return [(int(s), int((ends[ends >= s][0] if (ends >= s).any() else ends[0] + size) - s + 1)) for s in starts]


__all__ = ["Sectors", "find_sectors", "flat_columns"]
