"""Meters against the published constants and their tables of exposure values."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.light.meter import (
    ev100_of_illuminance,
    ev100_of_luminance,
    illuminance_of_ev100,
    implied_grey,
    log_average_cd_m2,
    luminance_of_ev100,
    shutter_s,
    solid_angles_sr,
    spot_cd_m2,
)


@pytest.mark.parametrize(("luminance_cd_m2", "ev"), [(4096, 15), (512, 12), (32, 8), (16, 7), (4, 5)])
def test_a_reflected_meter_shows_the_published_values(luminance_cd_m2: float, ev: float) -> None:
    """ISO 2720:1974, K = 12.5 (second-hand)."""
    assert ev100_of_luminance(luminance_cd_m2) == pytest.approx(ev, abs=1e-12)
    assert luminance_of_ev100(ev) == pytest.approx(luminance_cd_m2)


def test_the_other_constant_in_use_reads_a_sixth_of_a_stop_lower() -> None:
    """ISO 2720:1974 recommends K 10.6 to 13.4; 12.5 and 14 are in common use (second-hand)."""
    assert ev100_of_luminance(4000.0, k=14.0) == pytest.approx(14.80, abs=0.005)
    assert ev100_of_luminance(4000.0, k=12.5) == pytest.approx(14.97, abs=0.01)


@pytest.mark.parametrize(("ev", "illuminance_lx"), [(8, 640), (12, 10240)])
def test_an_incident_meter_shows_the_published_values(ev: float, illuminance_lx: float) -> None:
    """ISO 2720:1974, C = 250 for a flat receptor (second-hand)."""
    assert illuminance_of_ev100(ev) == pytest.approx(illuminance_lx)
    assert ev100_of_illuminance(illuminance_lx) == pytest.approx(ev)


@pytest.mark.parametrize(("k", "grey"), [(12.5, 0.157), (14.0, 0.176)])
def test_both_meters_agree_on_one_grey(k: float, grey: float) -> None:
    assert implied_grey(k) == pytest.approx(grey, abs=5e-4)


def test_a_wall_and_the_sunlit_ground_outside_lie_as_far_apart_as_worked_out() -> None:
    """Diffuse surfaces, L = r E / pi: wall 300 lx, r 0.5 is 47.7 cd/m2; ground 100 klx, r 0.3 is 9549; gap 7.64 EV."""
    wall, ground = 0.5 * 300.0 / np.pi, 0.3 * 100_000.0 / np.pi
    assert ev100_of_luminance(wall) == pytest.approx(8.58, abs=0.005)
    assert ev100_of_luminance(ground) - ev100_of_luminance(wall) == pytest.approx(7.64, abs=0.01)


def test_an_exposure_value_is_aperture_and_time() -> None:
    """EV 15 is f/16 at 1/125 s (1/128), the bright-sun rule; twice the speed halves the time."""
    assert shutter_s(15.0, 16.0) == pytest.approx(1.0 / 128.0)
    assert shutter_s(15.0, 16.0, iso=200.0) == pytest.approx(1.0 / 256.0)


def test_pixels_of_a_frame_cover_the_sphere_once() -> None:
    """Solid angles of a 4096 x 2048 frame: 2.353e-6 sr at the equator, 1.805e-9 at the pole, 4 pi in all."""
    solid = solid_angles_sr(2048, 4096)
    assert float(solid.sum()) * 4096 == pytest.approx(4.0 * np.pi, rel=1e-12)
    assert solid[1023, 0] == pytest.approx(2.353e-6, rel=1e-3)
    assert solid[0, 0] == pytest.approx(1.805e-9, rel=1e-3)


def test_a_log_average_is_the_geometric_mean_by_weight() -> None:
    rgb = np.array([[10.0] * 3, [1000.0] * 3])
    assert log_average_cd_m2(rgb) == pytest.approx(100.0)
    assert log_average_cd_m2(rgb, np.array([3.0, 1.0])) == pytest.approx(10.0**1.5)


def test_a_spot_meter_sees_its_spot_alone_and_at_least_one_place() -> None:
    rgb = np.array([[10.0] * 3, [30.0] * 3, [1000.0] * 3])
    away_deg = np.array([0.5, 2.0, 40.0])
    assert spot_cd_m2(rgb, away_deg, 5.0) == pytest.approx(20.0)
    assert spot_cd_m2(rgb, away_deg + 20.0, 5.0) == pytest.approx(10.0)


def test_a_meter_needs_light() -> None:
    with pytest.raises(ValueError, match="light"):
        ev100_of_luminance(0.0)
    with pytest.raises(ValueError, match="nothing"):
        log_average_cd_m2(np.ones((2, 3)), np.zeros(2))
    with pytest.raises(ValueError, match="f-number"):
        shutter_s(10.0, 0.0)
