"""The curve of merged frames: where it puts a room and its windows, and that it is smooth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.light.response import levels
from scoring.light.tone import MIDDLE_SHOWN, WHITE_SHOWN, Tone, shown, tone_table, toned

spans = st.floats(0.0, 12.0)


@given(middle=st.floats(0.01, 1e4), span=spans)
def test_the_middle_is_shown_at_its_place_and_brighter_is_never_shown_darker(middle: float, span: float) -> None:
    tone = Tone(middle, middle * 2.0**span)
    assert float(shown(np.array(middle), tone)) == pytest.approx(MIDDLE_SHOWN, rel=1e-3)
    curve = shown(middle * np.geomspace(1e-4, 1e4, 400), tone)
    assert (np.diff(curve) > -1e-12).all()
    assert (np.diff(curve[curve < 0.98]) > 0.0).all()
    assert curve[0] > 0.0
    assert curve[-1] < 1.0 + 1e-12


@pytest.mark.parametrize("span", [2.5, 4.0, 7.0, 9.0])
def test_white_is_shown_at_its_place(span: float) -> None:
    assert float(shown(np.array(2.0**span), Tone(1.0, 2.0**span))) == pytest.approx(WHITE_SHOWN, abs=0.05)


def test_slopes_change_smoothly_as_the_span_grows() -> None:
    slopes = np.array([Tone(10.0, 10.0 * 2.0**span).slopes for span in np.linspace(1.0, 12.0, 300)])
    assert (np.diff(slopes, axis=0) <= 1e-9).all()
    assert np.abs(np.diff(slopes, axis=0)).max() < 0.06
    assert (slopes[:, 0] >= slopes[:, 1]).all()
    assert 0.8 < slopes[-1, 0] < slopes[0, 0] < 1.05
    assert 0.05 <= slopes[-1, 1] < 0.2


def test_a_room_and_the_yard_outside_are_both_readable() -> None:
    """Seven stops between them: the room stays in the middle, leaves and sky outside stay under white and apart."""
    tone = Tone(40.0, 5000.0)
    wall, dark, leaves, sky = toned(np.array([[40.0] * 3, [4.0] * 3, [1500.0] * 3, [5000.0] * 3]), tone)[:, 1].astype(
        int
    )
    assert 135 < wall < 160
    assert dark > 30
    assert sky < 250  # white is 255
    assert sky - leaves >= 16


def test_the_kernel_agrees_with_the_curve_to_half_a_level() -> None:
    tone = Tone(30.0, 3000.0)
    grey = np.geomspace(0.1, 2e4, 5000)
    exact = levels(shown(grey, tone)).astype(int)
    ours = toned(np.repeat(grey[:, None], 3, axis=1).astype(np.float32), tone)[:, 0].astype(int)
    assert np.abs(ours - exact).max() <= 1
    assert tone_table(tone)[0] < 1e-9


def test_black_and_overflow_stay_within_levels() -> None:
    levels_ = toned(np.array([[0.0, -1.0, 0.0], [3e38, 3e38, 3e38], [0.0, 5e4, 0.0]]), Tone(30.0, 3000.0))
    assert levels_[0].max() == 0
    assert levels_[1].min() >= 250
    assert levels_[2, 1] > 200 > levels_[2, 0]


def test_colours_keep_their_order() -> None:
    red, green, blue = toned(np.array([60.0, 40.0, 20.0]), Tone(40.0, 2000.0)).astype(int)
    assert red > green > blue
