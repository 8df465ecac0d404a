"""Lamps: flux and area make a radiance; rooms get what their floor asks for."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.light.colour import luminance_of
from scoring.light.lamps import Lamp, fixed_lamps, table_lamp


def test_an_even_glow_sends_out_pi_times_its_luminance_from_each_square_metre() -> None:
    lamp = Lamp(1000.0, 3000.0)
    radiance = lamp.radiance_rgb_cd_m2(0.25)
    assert float(luminance_of(radiance)) * np.pi * 0.25 == pytest.approx(1000.0)
    assert radiance[0] > radiance[1] > radiance[2]


def test_larger_rooms_get_more_light_within_limits() -> None:
    flux = [fixed_lamps(floor_m2).flux_lm for floor_m2 in (1.0, 10.0, 20.0, 200.0)]
    assert flux == [450.0, 1600.0, 3200.0, 6000.0]
    assert table_lamp().flux_lm == 450.0
    assert table_lamp().colour_kelvin < fixed_lamps(10.0).colour_kelvin


def test_a_lamp_without_area_shines_nowhere() -> None:
    with pytest.raises(ValueError, match="area"):
        Lamp(100.0).radiance_rgb_cd_m2(0.0)
