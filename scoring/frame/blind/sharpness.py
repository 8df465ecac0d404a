"""Sharpness by region: how many degrees of the sphere an edge takes to rise from a tenth to nine tenths.

    g     profile of linear light across an upright edge, from its dark side to its bright one
    w     distance between 10 % and 90 % of the rise           [deg of the great circle]

         90 %  _____/----     A Gaussian blur of standard deviation s gives w = 2.5631 s. A region says the width
              /               of its sharper edges (lower quartile): soft shadows and curtains are in every room,
         10 %/                but nothing is sharper than the lens allows.
        ----/|<-w->|

The variance of the Laplacian is no scale (half a pixel of blur takes more than half of it away), so it is not used.
Source: edge-based spatial response of ISO 12233 (from memory); the Gaussian factor is derived.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from scoring.frame.blind.sphere import Bytes, CannotTell, Floats, Trace, azimuths_deg, elevations_deg, luminance

SECTORS = 8
BELTS_DEG = ((15.0, 45.0), (-15.0, 15.0), (-45.0, -15.0))
REACH_DEG = 2.5
"""How far an edge is followed to each side."""
CONTRAST_MIN = 0.04
"""Rise of linear light, of full scale."""
STRONGEST_SHARE = 0.03
SLANT_MAX = 0.6
"""Upright edges only: slope of the edge against the meridian (tangent)."""
EDGES_MIN = 25
EDGES_MAX = 4000
REGIONS_MIN = 3


@dataclass(frozen=True, slots=True)
class Region:
    """The edge width of one region of the sphere; a box in degrees."""

    left_deg: float
    low_deg: float
    right_deg: float
    high_deg: float
    spread_deg: float
    uncertainty_deg: float
    edges: int


@dataclass(frozen=True, slots=True)
class Sharpness:
    """Edge width 10-90 % over the frame: the middle region, the softest one, and what one pixel allows."""

    spread_deg: float
    uncertainty_deg: float
    softest_deg: float
    softest_azimuth_deg: float
    softest_elevation_deg: float
    pixel_deg: float
    regions: tuple[Region, ...]
    traces: tuple[Trace, ...]


def find_sharpness(rgb: Bytes) -> Sharpness | CannotTell:
    """Edge widths of an sRGB frame (H, W, 3), at the finest scale there is."""
    height, width = rgb.shape[:2]
    lat, lon = elevations_deg(height), azimuths_deg(width)
    regions = []
    for low, high in BELTS_DEG:
        rows = np.flatnonzero((lat >= low) & (lat < high))
        for sector in range(SECTORS):
            left, right = sector * width // SECTORS, (sector + 1) * width // SECTORS
            light = luminance(rgb[rows[0] : rows[-1] + 1, left:right])
            widths = _spreads_deg(light, lat[rows], 360.0 / width)
            if len(widths) < EDGES_MIN:
                continue
            lower, middle, upper = np.quantile(widths, (0.15, 0.25, 0.35))
            step = 180.0 / width
            box = (float(lon[left]) - step, low, float(lon[right - 1]) + step, high)
            regions.append(Region(*box, float(middle), float(upper - lower) / 2.0, len(widths)))
    if len(regions) < REGIONS_MIN:
        return CannotTell("sharpness", "few-edges")
    ordered = sorted(regions, key=lambda region: region.spread_deg)
    middle_one, softest = ordered[len(ordered) // 2], ordered[-1]
    traces = (_box("sharp", ordered[0]), _box("soft", softest))
    return Sharpness(
        middle_one.spread_deg,
        middle_one.uncertainty_deg,
        softest.spread_deg,
        (softest.left_deg + softest.right_deg) / 2.0,
        (softest.low_deg + softest.high_deg) / 2.0,
        360.0 / width,
        tuple(regions),
        traces,
    )


def _box(role: str, region: Region) -> Trace:
    corners = ((region.left_deg, region.low_deg), (region.right_deg, region.high_deg))
    return Trace(role, "box", corners)  # type: ignore[arg-type]


def _spreads_deg(light: Floats, lat_deg: Floats, step_deg: float) -> Floats:
    """Widths (n,) [deg] of the strongest upright edges in a part of the frame (h, w)."""
    reach = max(5, round(REACH_DEG / step_deg))
    height, width = light.shape
    if width <= 4 * reach:
        return np.zeros(0)
    smooth = gaussian_filter(light, 0.8)
    across = np.gradient(smooth, axis=1) / np.cos(np.radians(lat_deg))[:, None]
    along = np.gradient(smooth, axis=0)
    size = np.abs(across)
    inner = np.zeros((height, width), bool)
    inner[:, reach : width - reach] = True
    peak = (size >= np.roll(size, 1, 1)) & (size > np.roll(size, -1, 1)) & inner
    peak &= np.abs(along) <= SLANT_MAX * size
    if not peak.any():
        return np.zeros(0)
    limit = np.quantile(size[:, reach : width - reach], 1.0 - STRONGEST_SHARE)
    rows, columns = np.nonzero(peak & (size > max(float(limit), 1e-5)))
    if len(rows) > EDGES_MAX:
        chosen = np.linspace(0, len(rows) - 1, EDGES_MAX).astype(int)
        rows, columns = rows[chosen], columns[chosen]
    offsets = np.arange(-reach, reach + 1)
    profiles = light[rows[:, None], columns[:, None] + offsets]
    profiles = np.where((across[rows, columns] < 0.0)[:, None], profiles[:, ::-1], profiles)
    widths_px, contrast = _rises_px(profiles, reach)
    slant = np.cos(np.arctan(along[rows, columns] / across[rows, columns]))
    widths = widths_px * slant * step_deg * np.cos(np.radians(lat_deg[rows]))
    good = (contrast >= CONTRAST_MIN) & np.isfinite(widths)
    chosen_widths: Floats = widths[good]
    return chosen_widths


def _rises_px(profiles: Floats, middle: int) -> tuple[Floats, Floats]:
    """10-90 % width [px] and contrast of rising profiles (n, 2 middle + 1); NaN where the rise is not whole."""
    size = profiles.shape[1]
    noise = 0.05 * (profiles.max(axis=1) - profiles.min(axis=1))
    # Follow the rise to each side until it turns back by more than the noise.
    top = np.maximum.accumulate(profiles[:, middle:], axis=1)
    turned = profiles[:, middle:] < top - noise[:, None]
    last = np.where(turned.any(axis=1), turned.argmax(axis=1), size - middle)
    above = np.arange(size - middle)[None, :] < last[:, None]
    high = np.where(above, profiles[:, middle:], -np.inf).max(axis=1)
    left = profiles[:, middle::-1]
    bottom = np.minimum.accumulate(left, axis=1)
    turned = left > bottom + noise[:, None]
    last = np.where(turned.any(axis=1), turned.argmax(axis=1), middle + 1)
    below = np.arange(middle + 1)[None, :] < last[:, None]
    low = np.where(below, left, np.inf).min(axis=1)
    contrast = high - low
    half_low, half_high = low + 0.1 * contrast, low + 0.9 * contrast
    width = _crossing(profiles[:, middle:], half_high, rising=True) + _crossing(left, half_low, rising=False)
    return width, contrast


def _crossing(profiles: Floats, limits: Floats, *, rising: bool) -> Floats:
    """Distance [px], from the first sample, at which each profile crosses its limit; NaN where it does not."""
    over = profiles >= limits[:, None] if rising else profiles <= limits[:, None]
    found = over.any(axis=1)
    at = over.argmax(axis=1)
    rows = np.arange(len(profiles))
    before = np.maximum(at - 1, 0)
    a, b = profiles[rows, before], profiles[rows, at]
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(at > 0, (limits - a) / (b - a), 0.0)
    return np.where(found & (at > 0), before + part, np.nan)


__all__ = ["Region", "Sharpness", "find_sharpness"]
