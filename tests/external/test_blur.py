"""Blur on a layer against the analytic edge and its transfer: MTF50 = 0.18739 / sigma, rise 10-90 % = 2.5631 sigma
(the Gaussian's own, by the method of ISO 12233, from memory)."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.softness import blur_across, blur_down, sigma_px

WIDTH = 2048
ROWS = 9
EQUATOR = WIDTH // 4 - ROWS // 2


def edge(columns: int = 400) -> np.ndarray:
    out = np.zeros((ROWS, columns, 3), np.float32)
    out[:, columns // 2 :] = 1.0
    return out


def blurred(sigma: float, smear_px: float = 0.0, top: int = EQUATOR) -> np.ndarray:
    out = np.empty((ROWS, 1200), np.float32)
    blur_across(edge().reshape(ROWS, -1), out, sigma, smear_px, WIDTH, top, 0, ROWS)
    return out.reshape(ROWS, 400, 3)


def rise_px(profile: np.ndarray) -> float:
    low, high = np.interp([0.1, 0.9], profile, np.arange(len(profile)))
    return float(high - low)


@pytest.mark.parametrize(("sigma", "mtf50"), [(1.0, 0.1874), (2.0, 0.0937), (4.0, 0.0468)])
def test_transfer_falls_to_half_where_it_should(sigma: float, mtf50: float) -> None:
    spread = np.diff(blurred(sigma)[ROWS // 2, :, 0].astype(float))
    f = np.linspace(0.0, 0.5, 2001)
    at = np.arange(len(spread))
    transfer = np.abs(np.exp(-2j * np.pi * f[:, None] * at) @ spread) / np.maximum(np.sinc(f), 1e-9)
    assert f[np.argmax(transfer < 0.5)] == pytest.approx(mtf50, rel=0.02)


def test_an_edge_rises_over_what_the_fault_says() -> None:
    wanted_deg = 0.8
    profile = blurred(sigma_px(wanted_deg, WIDTH))[ROWS // 2, :, 0]
    assert rise_px(profile) / WIDTH * 360.0 == pytest.approx(wanted_deg, rel=0.03)


def test_motion_smears_by_a_box_of_the_same_azimuth_in_every_row() -> None:
    near_the_pole = blurred(0.0, 9.0, top=60)[0, :, 0]
    at_eye_level = blurred(0.0, 9.0)[0, :, 0]
    assert np.array_equal(near_the_pole, at_eye_level)
    slope = np.diff(at_eye_level.astype(float))
    assert slope[slope > 1e-6].size in (9, 10)
    assert slope.max() == pytest.approx(1.0 / 9.0, abs=1e-5)


def test_focus_is_wider_in_columns_away_from_eye_level() -> None:
    row_at_60_deg = round(WIDTH / 4 - 60.0 / 360.0 * WIDTH)
    assert rise_px(blurred(2.0, top=row_at_60_deg)[0, :, 0]) == pytest.approx(
        2.0 * rise_px(blurred(2.0)[0, :, 0]), rel=0.02
    )


def test_up_and_down_it_is_the_same_bell() -> None:
    tall = np.ascontiguousarray(np.swapaxes(edge(), 0, 1))
    out = np.empty((len(tall), 3 * ROWS), np.float32)
    blur_down(tall.reshape(len(tall), -1), out, 2.0, 0, len(tall))
    assert np.allclose(out[:, 0], blurred(2.0)[ROWS // 2, :, 0], atol=2e-4)
