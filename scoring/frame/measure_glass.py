"""Glass: contrast lost to stray light, shade on one side, things held before the lens; and where in the headings.

Each heading is compared with the same heading through clean glass, in cells of its own sector. Within a cell the detail
of what is seen follows the detail of what is there as a line::

        seen │         ╱  slope a            kept = a R / (a R + b): contrast of a tone R that is left
             │      ╱                            R = mean of the cell, at least the frame's middle
             │   ╱                           veil = 1 - kept
           b ├╱                              gain = mean seen / mean clean, over that of the heading
             └────────────── clean

Exposure and shade move a and b alike and are no veil. Beside a window stray light falls off within a cell: it may run
as a bowl there, a as a plane, and b is what is left of the mean. Blur is no veil either: clean glass is made as soft as
the heading was measured to be.

Every line has an error, from how far the cell lies about it and how much detail it has. A cell that cannot tell is left
out, and the veil of a place is the mean of the cells about it, each by how sure it is. Next to the maps that the light
was rendered through, read over the same places, the worst of a smudge or of fog is told up to 0.17 too low, as a glow
leaves some contrast to what is as wide as itself; glare is told to 0.04, an even veil to 0.01.

    veiled    kept is low, something is seen still       smudge, fog, glare
    blocked   next to nothing is kept                    finger, strap
    shaded    gain is low, contrast is kept              a lens that is off to one side
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, convolve, distance_transform_cdt, gaussian_filter

from scoring.frame.cell_lines import lines_of, mean_of
from scoring.frame.look import View
from scoring.frame.measure_plain import Hazy, Shown, Tones, shown_in, tones_of
from scoring.frame.measure_seams import Floats
from scoring.frame.measure_sharpness import RISE_PER_SPREAD
from scoring.frame.measure_tones import solid_angles
from scoring.light.colour import LUMINANCE

Pattern = Literal["none", "same place", "everywhere", "toward a source"]

CELL_DEG = 6.0
FINE_DEG = 1.5
"""Detail finer than this is smoothed away first."""
HIGHEST_DEG = 56.0
"""Nearer to the zenith and the nadir columns crowd so much that cells are slivers."""
CLIPPED_LEVEL = 250.0
SOURCE = 8.0
"""What is so many times brighter than the frame's middle is a source."""
SPILL_DEG = 2.0
CONTRAST_MIN = 0.005
"""Least detail of a cell over its mean that is still compared."""
ERROR_MAX = 0.25
"""A cell tells of contrast when the error of what it keeps is no more than this ..."""
SURE = 0.05
"""... and counts half of a sure one when it is this."""
ABOUT = (0.5, 1.0, 0.5)
"""How much cells to either side count in the veil of a place ..."""
SURE_SHARE = 0.15
"""... of which so much must be sure."""
SHADED_GAIN = 0.9
"""Less light than this share of the heading's own middle is shade."""
BLOCKED_KEPT = 0.3
"""Where less contrast than this is left, something is in the way ..."""
CLEAR_KEPT = 0.7
"""... if three quarters of the heading keep at least this."""
PATCH_SHARE = 0.002
"""Of the sphere: a smaller patch of haze goes unseen. About 10 deg across."""
VOTES = 0.6
"""A place counts when at least so many of the headings that can tell agree on it."""
WIDE_SHARE = 0.75
"""A veil is everywhere when so many of a heading's cells have a third of what its strongest tenth has; headings count
by how much veil they have."""
ALIKE = 0.4
"""... and if no heading has less than this share of what the worst has, unless it fades."""
AGREE = 0.55
"""A trace is at one place of the headings when their cells correlate by this much."""
FADED = 0.9
"""A veil fades when the last heading has less than this share of what the first has ..."""
FADING_SLACK = 0.02
"""... and none has more than the one before it, but for this share of the first ..."""
FADING_MIN = 0.03
"""... of which this much at least is told apart from nothing."""


class Cells(NamedTuple):
    """One heading in cells (rows, columns), top left first."""

    azimuth_deg: Floats
    """(columns,) in the frame."""
    elevation_deg: Floats
    """(rows,)"""
    kept: Floats
    """Share of contrast that is left; not a number where nothing can be told."""
    sure: Floats
    """How sure that is, 0..1."""
    slope: Floats
    """Growth of what is seen with what is there; not a number where nothing can be told."""
    gain: Floats
    """Light over what clean glass gives, over the same of the whole heading."""
    share: Floats
    """Of the sphere."""
    clean_tones: Tones
    """Through clean glass, ..."""
    seen_tones: Tones
    """... and as taken."""


@dataclass(frozen=True, slots=True)
class Veil:
    """Contrast lost to stray light in one frame."""

    worst_share: float
    """Where it is worst, over a patch of ``PATCH_SHARE`` of the sphere."""
    mean_share: float
    """Over everything that tells."""
    by_heading: tuple[float, ...]
    """Mean of each heading, in the order they were taken."""
    shown: Shown
    """Where it shows best."""
    pattern: Pattern
    fades: bool
    """Whether later headings have less, step by step."""


@dataclass(frozen=True, slots=True)
class Rim:
    """What the lens's own side of things takes from one frame."""

    crescent_share: float
    """Of the sphere, shaded at the same place of each heading."""
    crescent_azimuth_deg: float
    """Middle of it in the first heading, in the frame."""
    crescent_elevation_deg: float
    blocked_share: float
    """Of the sphere, hidden by something at the same place of each heading."""
    blocked_azimuth_deg: float
    blocked_elevation_deg: float


def cells_of(view: View, half_deg: float, middle_cd_m2: float, rise_deg: tuple[float, float] = (0.0, 0.0)) -> Cells:
    """A heading's sector, ``half_deg`` to either side, in cells; ``middle_cd_m2`` is the middle luminance of the whole
    frame through clean glass, ``rise_deg`` how wide edges are in the heading, upwards and across."""
    first = round((view.heading.believed_deg - half_deg - view.left_rim_deg) * view.px_per_deg)
    step = max(2, round(CELL_DEG * view.px_per_deg))
    # As many in every heading, whichever way its rims are rounded: cells are compared place by place.
    rows, columns = view.clean.shape[0] // step, math.floor(2.0 * half_deg * view.px_per_deg + 1e-9) // step
    last = first + columns * step
    share = np.broadcast_to(solid_angles(view.clean.shape[0], round(360.0 * view.px_per_deg)), view.clean.shape[:2])
    luminance = view.clean @ LUMINANCE
    soft = [float(np.hypot(FINE_DEG, rise / RISE_PER_SPREAD)) * view.px_per_deg for rise in rise_deg]
    clean, seen, usable, weight, clean_levels, seen_levels = (
        _blocks(values[:, first:last], rows, columns, step)
        for values in (
            gaussian_filter(luminance, soft),
            gaussian_filter(view.seen @ LUMINANCE, FINE_DEG * view.px_per_deg),
            _usable(view, luminance, middle_cd_m2),
            share,
            view.clean_levels @ LUMINANCE,
            view.levels @ LUMINANCE,
        )
    )
    mean_clean, mean_seen = mean_of(clean, usable), mean_of(seen, usable)
    elevation_deg = view.top_deg - (np.arange(rows) + 0.5) * step / view.px_per_deg
    about = np.abs(elevation_deg) <= HIGHEST_DEG
    line = lines_of(clean[about], seen[about], usable[about], step)
    least = np.maximum(mean_clean[about], middle_cd_m2)
    tone = np.maximum(line.slope, 0.0) * least
    whole = np.maximum(tone + np.maximum(line.stray, 0.0), 1e-12)
    error = line.error * least / whole
    enough = usable.mean(axis=-1) > 0.5
    told = enough[about] & (line.detail >= CONTRAST_MIN * mean_clean[about]) & (error <= ERROR_MAX)
    kept, slope = np.full((2, rows, columns), np.nan)
    sure = np.zeros((rows, columns))
    kept[about] = np.where(told, np.clip(tone / whole, 0.0, 1.0), np.nan)
    slope[about] = np.where(told, line.slope, np.nan)
    sure[about] = np.where(told, SURE**2 / (error**2 + SURE**2), 0.0)
    gain = mean_seen / np.maximum(mean_clean, 1e-12)
    gain = np.where(enough, gain / np.nanmedian(np.where(enough, gain, np.nan)), np.nan) if enough.any() else gain
    return Cells(
        azimuth_deg=view.left_rim_deg + (first + (np.arange(columns) + 0.5) * step) / view.px_per_deg,
        elevation_deg=elevation_deg,
        kept=kept,
        sure=sure,
        slope=slope,
        gain=gain,
        share=weight.sum(axis=-1),
        clean_tones=tones_of(clean_levels),
        seen_tones=tones_of(seen_levels),
    )


def _usable(view: View, luminance: Floats, middle_cd_m2: float) -> Floats:
    """1 where a pixel can be compared, 0 where it is white or so near a source that mere softness spills into it."""
    red, green, blue = np.moveaxis(view.levels, 2, 0)
    bright = np.maximum(np.maximum(red, green), blue) >= CLIPPED_LEVEL
    bright |= luminance > SOURCE * middle_cd_m2
    spill_px = max(1, round(SPILL_DEG * view.px_per_deg))
    away_px = distance_transform_cdt(~bright, metric="taxicab")
    # Where nothing is bright at all, SciPy says -1 everywhere.
    return np.where((away_px >= 0) & (away_px <= spill_px), 0.0, 1.0)


def _blocks(values: Floats, rows: int, columns: int, step: int) -> Floats:
    """(rows, columns, step * step) of the pixels of each cell."""
    cut = values[: rows * step, : columns * step].astype(np.float64)
    return cut.reshape(rows, step, columns, step).swapaxes(1, 2).reshape(rows, columns, step * step)


def veil_of(cells: Sequence[Cells]) -> Veil:
    """The veil of a frame, from its headings in the order they were taken."""
    hidden = binary_dilation(_places([_hidden(one) for one in cells], [one.kept for one in cells]), iterations=2)
    hidden |= binary_dilation(_places([_shaded(one) for one in cells], [one.gain for one in cells]))
    lost = [_smoothed(1.0 - one.kept, np.where(hidden | _hidden(one), 0.0, one.sure)) for one in cells]
    means = [_mean(own, one.share) for own, one in zip(lost, cells, strict=True)]
    tops = [_high(own, one.share) for own, one in zip(lost, cells, strict=True)]
    worst = int(np.argmax(tops)) if tops else 0
    if not tops or tops[worst] <= 0.0:
        return Veil(0.0, 0.0, tuple(means), Shown(0.0, 0.0, 0.0), "none", False)
    places = [
        Hazy(one.azimuth_deg, one.elevation_deg, own, one.clean_tones, one.seen_tones)
        for own, one in zip(lost, cells, strict=True)
    ]
    wide = float(np.average([_wide(own) for own in lost], weights=np.array(means) + 1e-12)) >= WIDE_SHARE
    fading = _fading(cells)
    pattern: Pattern
    if wide and (fading or min(means) >= ALIKE * max(means)):
        pattern = "everywhere"
    else:
        pattern = "same place" if _agreement(lost) >= AGREE else "toward a source"
    return Veil(
        worst_share=tops[worst],
        mean_share=float(np.mean(means)),
        by_heading=tuple(means),
        shown=shown_in(places, worst, tops[worst]),
        pattern=pattern,
        fades=pattern == "everywhere" and fading,
    )


def rim_of(cells: Sequence[Cells]) -> Rim:
    """Shade and things at the same place of each heading."""
    shaded = [_shaded(one) for one in cells]
    hidden = [_hidden(one) for one in cells]
    crescent, at = _common(shaded, [one.gain for one in cells], cells)
    blocked, where = _common(hidden, [one.kept for one in cells], cells)
    return Rim(crescent, *at, blocked, *where)


def _hidden(one: Cells) -> NDArray[np.bool_]:
    """Cells in which next to nothing is left although the heading as a whole is clear."""
    return (one.kept < BLOCKED_KEPT) & _clear(one)


def _shaded(one: Cells) -> NDArray[np.bool_]:
    """Cells with less light and all its contrast, in a heading that is clear as a whole."""
    return np.asarray((one.gain < SHADED_GAIN) & ~(one.kept < BLOCKED_KEPT) & _clear(one))


def _clear(one: Cells) -> bool:
    """Whether there is no haze over a heading as a whole."""
    told = one.kept[np.isfinite(one.kept)]
    return len(told) > 0 and float(np.quantile(told, 0.25)) > CLEAR_KEPT


def _fading(cells: Sequence[Cells]) -> bool:
    """Whether less light is taken away from heading to heading: exposure is locked, so that the slope tells."""
    taken = 1.0 - np.array([np.nanmedian(one.slope) if np.isfinite(one.slope).any() else np.nan for one in cells])
    taken = taken[np.isfinite(taken)]
    if len(taken) < 2 or taken[0] < FADING_MIN:
        return False
    return bool((np.diff(taken) < FADING_SLACK * taken[0]).all()) and taken[-1] < FADED * taken[0]


def _mean(values: Floats, shares: Floats) -> float:
    told = np.isfinite(values)
    return float(np.average(values[told], weights=shares[told] + 1e-12)) if told.any() else 0.0


def _high(values: Floats, shares: Floats) -> float:
    """The most that a patch of ``PATCH_SHARE`` of the sphere has at least."""
    told = np.isfinite(values)
    if not told.any():
        return 0.0
    order = np.argsort(-values[told])
    sums = np.cumsum(shares[told][order])
    return float(values[told][order][min(int(np.searchsorted(sums, PATCH_SHARE)), len(order) - 1)])


def _smoothed(values: Floats, sure: Floats) -> Floats:
    """Mean of each cell with its neighbours by how sure they are; not a number where too few are."""
    weights = np.array(ABOUT)
    about = np.outer(weights, weights)
    sums = convolve(np.where(sure > 0.0, values, 0.0) * sure, about, mode="constant")
    total = convolve(sure, about, mode="constant")
    return np.where((total >= SURE_SHARE * about.sum()) & (sure > 0.0), sums / np.maximum(total, 1e-12), np.nan)


def _wide(values: Floats) -> float:
    """Share of a heading's cells with a third or more of what its strongest tenth has."""
    told = values[np.isfinite(values)]
    strong = float(np.quantile(told, 0.9)) if len(told) else 0.0
    return float((told >= strong / 3.0).mean()) if strong > 0.0 else 0.0


def _agreement(veils: Sequence[Floats]) -> float:
    """Mean correlation of the headings' veils, place by place."""
    found = []
    for i, first in enumerate(veils):
        for second in veils[i + 1 :]:
            told = np.isfinite(first) & np.isfinite(second)
            if told.sum() >= 8 and first[told].std() > 0.0 and second[told].std() > 0.0:
                found.append(float(np.corrcoef(first[told], second[told])[0, 1]))
    return float(np.mean(found)) if found else 0.0


def _common(
    flags: Sequence[NDArray[np.bool_]], values: Sequence[Floats], cells: Sequence[Cells]
) -> tuple[float, tuple[float, float]]:
    """Share of the sphere of the places that most headings flag, of those whose value tells; and their middle in the
    first heading."""
    if not cells:
        return 0.0, (0.0, 0.0)
    common = _places(flags, values)
    share = float(sum((one.share * common).sum() for one in cells))
    if share <= 0.0:
        return 0.0, (0.0, 0.0)
    row, column = (float(np.average(axis, weights=cells[0].share[common] + 1e-12)) for axis in np.nonzero(common))
    azimuth = float(np.interp(column, np.arange(len(cells[0].azimuth_deg)), cells[0].azimuth_deg))
    elevation = float(np.interp(row, np.arange(len(cells[0].elevation_deg)), cells[0].elevation_deg))
    return share, (_wrapped(azimuth), elevation)


def _places(flags: Sequence[NDArray[np.bool_]], values: Sequence[Floats]) -> NDArray[np.bool_]:
    """Cells that most headings flag, of those whose value tells there."""
    told = np.isfinite(np.stack(list(values))).sum(axis=0)
    votes = np.stack(list(flags)).sum(axis=0)
    return np.asarray((votes >= VOTES * np.maximum(told, 1)) & (votes >= min(2, len(flags))))


def _wrapped(azimuth_deg: float) -> float:
    return (azimuth_deg + 180.0) % 360.0 - 180.0


__all__ = ["Cells", "Pattern", "Rim", "Veil", "cells_of", "rim_of", "veil_of"]
