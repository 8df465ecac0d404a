"""Tones: shares by solid angle, and the middle tone in doublings of light."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.measure_tones import solid_angles, tones_of


def grey(level: int, height: int = 90) -> np.ndarray:
    return np.full((height, 2 * height, 3), level, np.uint8)


def test_its_pixels_make_up_the_sphere() -> None:
    assert float((solid_angles(180, 360) * np.ones((180, 360))).sum()) == pytest.approx(1.0, abs=1e-12)


def test_it_counts_by_solid_angle_not_by_pixels() -> None:
    frame = grey(128)
    frame[:30] = 255
    frame[60:] = 0
    cap = 0.5 * (1.0 - np.sin(np.radians(30.0)))
    found = tones_of(frame)
    assert found.clipped_share == pytest.approx(cap, abs=1e-9)
    assert found.crushed_share == pytest.approx(cap, abs=1e-9)


def test_one_full_channel_is_white_and_one_empty_one_is_not_black() -> None:
    frame = grey(128)
    frame[:, :, 0] = 255
    frame[:, :, 2] = 0
    assert tones_of(frame).clipped_share == pytest.approx(1.0)
    assert tones_of(frame).crushed_share == 0.0


@pytest.mark.parametrize(("level", "ev"), [(200, 0.0), (128, 0.0), (92, 1.0), (66, 2.0)])
def test_it_says_in_doublings_how_dark_the_middle_is(level: int, ev: float) -> None:
    """Levels of 0.214 / 2 and / 4 on the curve of sRGB: 92.4 and 66.0."""
    assert tones_of(grey(level)).dark_ev == pytest.approx(ev, abs=0.03)


def test_it_leaves_out_what_no_heading_shows() -> None:
    frame = grey(128)
    frame[:, :45] = 0
    taken = np.arange(180) >= 45
    assert tones_of(frame).crushed_share == pytest.approx(0.25)
    assert tones_of(frame, taken).crushed_share == 0.0
