"""Edge width in degrees, held to the analytic width of a Gaussian blur: 2.5631 standard deviations."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from scoring.frame.blind.sharpness import Sharpness, find_sharpness
from scoring.frame.blind.sphere import LINEAR, CannotTell

TONES = np.searchsorted(LINEAR, np.linspace(0.02, 0.9, 40)).clip(0, 255)


def blurred_bars(sigma_px: float, width_px: int = 2048, seed: int = 3) -> np.ndarray:
    """Upright bars of random widths and tones, blurred along the rows in linear light."""
    chance = np.random.default_rng(seed)
    row = np.zeros(width_px)
    at = 0
    while at < width_px:
        wide = int(chance.integers(60, 110))
        row[at : at + wide] = LINEAR[chance.choice(TONES)]
        at += wide
    soft = gaussian_filter1d(row, sigma_px, mode="wrap")
    grey = np.abs(LINEAR[None, :] - soft[:, None]).argmin(axis=1).astype(np.uint8)
    return np.repeat(np.tile(grey, (width_px // 2, 1))[..., None], 3, axis=2)


@pytest.mark.parametrize("sigma_px", [1.0, 2.0, 4.0])
def test_a_gaussian_blur_has_its_analytic_width(sigma_px: float) -> None:
    found = find_sharpness(blurred_bars(sigma_px))
    assert isinstance(found, Sharpness)
    level = [region.spread_deg for region in found.regions if region.low_deg == -15.0]
    assert np.median(level) == pytest.approx(2.5631 * sigma_px * 360.0 / 2048, rel=0.06)


def test_pixels_away_from_the_horizon_are_narrower_on_the_sphere() -> None:
    found = find_sharpness(blurred_bars(2.0))
    assert isinstance(found, Sharpness)
    level = np.median([region.spread_deg for region in found.regions if region.low_deg == -15.0])
    above = np.median([region.spread_deg for region in found.regions if region.low_deg == 15.0])
    assert 0.7 < above / level < 0.95


def test_one_soft_sector_is_named() -> None:
    frame = blurred_bars(1.0)
    frame[:, 256:512] = blurred_bars(5.0, seed=9)[:, 256:512]
    found = find_sharpness(frame)
    assert isinstance(found, Sharpness)
    assert found.softest_azimuth_deg == pytest.approx(-112.5)
    assert found.softest_deg > 3.0 * found.spread_deg


def test_a_plain_frame_has_too_few_edges() -> None:
    assert find_sharpness(np.full((512, 1024, 3), 77, np.uint8)) == CannotTell("sharpness", "few-edges")
