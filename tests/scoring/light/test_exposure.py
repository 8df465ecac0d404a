"""Exposures, brackets and white balance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.light.colour import luminance_of, rgb_of_kelvin
from scoring.light.exposure import (
    Exposure,
    balance_for,
    balance_for_kelvin,
    bracket_ev,
    exposure_for,
    frames_needed,
    recorded,
    span_ev,
)


def test_what_is_metered_is_recorded_as_middle_grey() -> None:
    exposure = exposure_for(64.0)
    assert recorded(np.full(3, 64.0), exposure) == pytest.approx([0.18] * 3)
    assert exposure.ev100 == pytest.approx(9.0)
    assert recorded(np.full(3, 64.0), exposure_for(64.0, bias_ev=1.0)) == pytest.approx([0.36] * 3)
    assert exposure.brighter(-2.0).ev100 == pytest.approx(11.0)


def test_metering_on_the_window_leaves_the_room_black_and_metering_on_the_room_leaves_the_window_white() -> None:
    room, window = np.full(3, 30.0), np.full(3, 6000.0)
    assert recorded(room, exposure_for(6000.0)).max() < 0.002
    assert recorded(window, exposure_for(30.0)).min() == 1.0


@pytest.mark.parametrize(("span", "frames"), [(6.0, 1), (8.0, 1), (8.5, 2), (10.0, 2), (12.0, 3), (13.0, 4)])
def test_two_steps_of_two_stops_add_four(span: float, frames: int) -> None:
    """A frame that records 8 EV and three of them 2 EV apart that record 12 (arithmetic)."""
    assert frames_needed(span) == frames


@given(
    low=st.floats(1e-3, 1e3),
    span=st.floats(0.0, 16.0),
    middle=st.floats(1.0, 1e4),
    step=st.sampled_from([1.0, 2.0, 3.0]),
)
def test_a_bracket_reaches_both_ends_with_no_frame_to_spare(
    low: float, span: float, middle: float, step: float
) -> None:
    high = low * 2.0**span
    exposure = Exposure(middle)
    biases = bracket_ev(low, high, exposure, step_ev=step)
    assert 0.0 in biases
    assert exposure.brighter(biases[0]).white_cd_m2 >= high * (1 - 1e-6) or (biases[0] == 0.0 and middle >= high)
    assert exposure.brighter(biases[-1]).white_cd_m2 / 2.0**8 <= low * (1 + 1e-6)
    assert np.allclose(np.diff(biases), step)
    if biases[0] < 0.0:
        assert exposure.brighter(biases[0] + step).white_cd_m2 < high * (1 + 1e-6)


def test_the_span_of_a_view_leaves_out_its_last_hundredths() -> None:
    rgb = np.repeat(np.arange(1.0, 1001.0)[:, None], 3, axis=1)
    low, high = span_ev(rgb, np.ones(1000))
    assert low == pytest.approx(10.0, abs=1.0)
    assert high == pytest.approx(990.0, abs=1.0)


@pytest.mark.parametrize("kelvin", [2700.0, 4000.0, 6500.0, 9000.0])
def test_white_balance_makes_its_own_light_grey(kelvin: float) -> None:
    light = np.array(rgb_of_kelvin(kelvin)) * 50.0
    seen = light * np.array(balance_for_kelvin(kelvin))
    assert seen == pytest.approx([seen[1]] * 3)
    assert light * np.array(balance_for(light, share=1.0)) == pytest.approx([light[1]] * 3)
    partly = light * np.array(balance_for(light, share=0.5))
    assert abs(np.log(partly[0] / partly[2])) == pytest.approx(abs(np.log(light[0] / light[2])) / 2.0)
    assert float(luminance_of(light)) == pytest.approx(50.0)


def test_it_refuses_exposures_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="light"):
        exposure_for(0.0)
    with pytest.raises(ValueError, match="span"):
        bracket_ev(10.0, 1.0, Exposure(10.0))
    with pytest.raises(ValueError, match="gaps"):
        bracket_ev(1.0, 10.0, Exposure(10.0), step_ev=9.0)
