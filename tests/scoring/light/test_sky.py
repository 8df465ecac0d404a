"""Skies against the published integral, the published ratio, and an independent colour library."""

from __future__ import annotations

import warnings
from math import pi, radians, sin

import numpy as np
import pytest

from scoring.light.colour import LUMINANCE, luminance_of, rgb_of_kelvin
from scoring.light.sky import (
    ROWS,
    SKIES,
    SkyKind,
    air_mass,
    level_illuminance_lx,
    sky_at_night,
    sky_illuminance_lx,
    sky_of,
    sun_illuminance_rgb_lx,
    table_directions,
)
from scoring.light.sun import Sun

NOON = Sun(180.0, 40.0)


def test_an_overcast_sky_lights_the_ground_with_seven_ninths_pi_of_its_zenith() -> None:
    """Moon and Spencer 1942; CIE S 011 / ISO 15469 (from memory): 10 klx is 4092.6 at the zenith, 1364.2 at the rim."""
    overcast = sky_of("overcast", NOON, 90.0)
    luminance = luminance_of(overcast.table_cd_m2)
    zenith_cd_m2, rim_cd_m2 = luminance[-1, 0], luminance[0, 0]
    assert zenith_cd_m2 == pytest.approx(overcast.horizontal_lx * 9.0 / (7.0 * pi), rel=1e-3)
    assert zenith_cd_m2 * 10000.0 / overcast.horizontal_lx == pytest.approx(4092.6, rel=1e-3)
    assert rim_cd_m2 == pytest.approx(zenith_cd_m2 / 3.0, rel=1e-5)
    halfway = luminance[(ROWS - 1) // 3, 0]
    assert halfway == pytest.approx(zenith_cd_m2 * (1.0 + 2.0 * sin(radians(30.0))) / 3.0, rel=1e-5)


def test_a_uniform_sky_lights_the_ground_with_pi_times_its_luminance() -> None:
    assert level_illuminance_lx(np.full((46, 72), 1000.0)) == pytest.approx(1000.0 * pi, rel=1e-9)


@pytest.mark.parametrize("kind", SKIES)
@pytest.mark.parametrize("elevation_deg", [-8.0, 0.0, 3.0, 15.0, 60.0])
def test_every_sky_adds_up_to_its_illuminance_and_is_nowhere_dark(kind: SkyKind, elevation_deg: float) -> None:
    sky = sky_of(kind, Sun(200.0, elevation_deg), 90.0)
    assert level_illuminance_lx(luminance_of(sky.table_cd_m2)) == pytest.approx(sky.horizontal_lx, rel=1e-5)
    assert sky.table_cd_m2.min() > 0.0


def test_a_clear_sky_is_brightest_round_the_sun_and_bluest_far_from_it() -> None:
    sky = sky_of("clear", NOON, 90.0)
    luminance = luminance_of(sky.table_cd_m2)
    brightest = table_directions()[np.unravel_index(int(luminance.argmax()), luminance.shape)]
    assert brightest @ np.array(sky.toward_sun) > np.cos(radians(2.0))
    blueness = sky.table_cd_m2[..., 2] / sky.table_cd_m2[..., 0]
    assert blueness[50, 45] > 1.5 > blueness[40, 135] > 0.5
    assert 1000.0 < luminance.min() < 6000.0


def test_the_drawing_turns_under_the_sky() -> None:
    """North up the sheet and north to its left: the same sky, a quarter turn apart."""
    up, left = sky_of("clear", NOON, 90.0), sky_of("clear", NOON, 180.0)
    np.testing.assert_allclose(np.roll(up.table_cd_m2, 45, axis=1), left.table_cd_m2, rtol=1e-4)


def test_sunlight_weakens_and_reddens_as_the_sun_sinks() -> None:
    rows = [sun_illuminance_rgb_lx("clear", elevation_deg) for elevation_deg in (60.0, 30.0, 10.0, 3.0, 0.0)]
    lux = [float(row @ LUMINANCE) for row in rows]
    assert lux == sorted(lux, reverse=True)
    assert 90_000.0 < lux[0] < 105_000.0
    redness = [row[0] / row[2] for row in rows]
    assert redness == sorted(redness)
    assert not sun_illuminance_rgb_lx("clear", -1.0).any()
    assert not sun_illuminance_rgb_lx("overcast", 60.0).any()


def test_air_mass_is_one_at_the_zenith_and_38_at_the_horizon() -> None:
    """Kasten and Young 1989, Appl. Opt. 28 (from memory)."""
    assert air_mass(90.0) == pytest.approx(1.0, abs=0.001)
    assert air_mass(30.0) == pytest.approx(1.994, abs=0.005)
    assert air_mass(0.0) == pytest.approx(38.0, abs=0.3)


def test_twilight_falls_without_a_step_to_night() -> None:
    levels = [sky_illuminance_lx("clear", elevation_deg / 4.0) for elevation_deg in range(-80, 8)]
    assert levels == sorted(levels)
    assert levels[0] == pytest.approx(0.05)
    assert sky_illuminance_lx("clear", -6.0) == pytest.approx(4.0, abs=1.0)
    assert luminance_of(sky_at_night(90.0).table_cd_m2).max() < 0.03


@pytest.mark.parametrize("kelvin", [2000.0, 2700.0, 3000.0, 4000.0, 5000.0, 6500.0, 10000.0, 20000.0])
def test_colour_temperatures_agree_with_an_independent_library(kelvin: float) -> None:
    """The colour-science library, Kang 2002 method; within a thousandth in chromaticity."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    x, y = colour.temperature.CCT_to_xy_Kang2002(kelvin)
    theirs = colour.XYZ_to_RGB(
        colour.xy_to_XYZ((x, y)),
        colour.RGB_COLOURSPACES["sRGB"],
        apply_cctf_encoding=False,
        chromatic_adaptation_transform=None,
    )
    np.testing.assert_allclose(rgb_of_kelvin(kelvin), np.maximum(theirs, 0.0), atol=0.01)
    assert float(np.array(rgb_of_kelvin(kelvin)) @ LUMINANCE) == pytest.approx(1.0)


@pytest.mark.parametrize("kelvin", [0.0, 1500.0, 30000.0, float("nan")])
def test_it_refuses_a_colour_temperature_that_no_source_of_light_has(kelvin: float) -> None:
    with pytest.raises(ValueError, match="colour temperature"):
        rgb_of_kelvin(kelvin)
