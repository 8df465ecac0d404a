"""Brackets, noise and clipping: what the tables hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scoring.frame.pose import Film
from scoring.frame.sensor import FULL_WELL, NATIVE_WIDTH_PX, READ_NOISE, Sensor, gains_of, sensor_of
from scoring.light.colour import rgb_of_kelvin
from tests.scoring.frame.even_rooms import clean_stage, with_fault
from tests.scoring.frame.spins import take


def slot(luminance: float) -> int:
    return int(np.float32(luminance).view(np.uint32) >> np.uint32(15))


def shown(sensor: Sensor, luminance: float) -> float:
    return float(sensor.shown[slot(luminance)])


def test_brackets_hold_the_windows_that_one_exposure_loses() -> None:
    stage = clean_stage()
    merged, single = (sensor_of(stage, given, 2048) for given in (take(), with_fault("F14", offset_ev=1.0)))
    assert len(merged.exposures_ev) > 1
    assert merged.white_cd_m2 >= stage.span_cd_m2[1]
    assert single.exposures_ev == (0.0,)
    assert single.white_cd_m2 < stage.span_cd_m2[1]
    assert shown(single, single.white_cd_m2 * 1.1) == pytest.approx(1.0)


def test_an_exposure_two_stops_down_shows_a_quarter() -> None:
    stage = clean_stage()
    plain, dark = (sensor_of(stage, with_fault("F14", offset_ev=ev), 2048) for ev in (0.0, -2.0))
    middle = stage.metered_cd_m2
    assert shown(plain, middle) == pytest.approx(0.18, rel=0.01)
    assert shown(dark, middle) == pytest.approx(0.045, rel=0.01)


def test_more_light_is_shown_no_darker() -> None:
    for given in (take(), with_fault("F14", brackets="all", offset_ev=-3.0)):
        table = sensor_of(clean_stage(), given, 2048).shown
        assert (np.diff(table[: slot(1e6)]) >= -1e-7).all()


def test_noise_of_one_exposure_is_photons_and_hiss() -> None:
    sensor = sensor_of(clean_stage(), with_fault("F14", offset_ev=0.0), int(NATIVE_WIDTH_PX))
    white = sensor.white_cd_m2
    for share in (0.01, 0.18, 0.7):
        electrons = share * FULL_WELL
        expected = np.hypot(np.sqrt(electrons), READ_NOISE) / FULL_WELL * white
        assert sensor.noise_cd_m2[slot(share * white)] == pytest.approx(expected, rel=0.01)


def test_a_frame_of_fewer_pixels_is_less_noisy() -> None:
    fine, coarse = (sensor_of(clean_stage(), take(), width) for width in (5760, 1440))
    at = slot(clean_stage().metered_cd_m2)
    assert fine.noise_cd_m2[at] == pytest.approx(4.0 * coarse.noise_cd_m2[at], rel=1e-5)


def test_colour_and_exposure_of_a_heading_are_gains() -> None:
    stage = replace(clean_stage(), balance=(1.0, 1.0, 1.0))
    assert gains_of(stage, Film(exposure_ev=1.0)) == pytest.approx([2.0, 2.0, 2.0])
    bluer = gains_of(stage, Film(balance_kelvin=1000.0))
    assert bluer == pytest.approx(np.array(rgb_of_kelvin(6000.0)) / np.array(rgb_of_kelvin(5000.0)))
    assert bluer[2] > 1.0 > bluer[0]
