"""The response curve, and merging exposures: worked examples and known radiance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.light.exposure import Exposure, recorded
from scoring.light.merging import radiance_of
from scoring.light.response import LINEAR_OF_LEVEL, decoded, encoded, level_table, levels

STRAIGHT = np.arange(256.0)


def test_two_exposures_of_one_radiance_merge_to_it() -> None:
    """Debevec and Malik 1997 with g = ln Z: (128, 1) and (32, 1/4) say 128 both."""
    merged = radiance_of(np.array([[128], [32]], np.uint8), np.array([1.0, 0.25]), STRAIGHT)
    assert merged[0] == pytest.approx(128.0, rel=1e-12)


def test_a_nearly_white_level_weighs_little() -> None:
    """(250, 1) and (64, 1/4): weights 5 and 64 give 255.56."""
    merged = radiance_of(np.array([[250], [64]], np.uint8), np.array([1.0, 0.25]), STRAIGHT)
    assert merged[0] == pytest.approx(255.56, abs=0.01)


def test_a_bracket_gives_back_the_radiance_it_was_taken_of() -> None:
    radiance = np.geomspace(0.5, 4000.0, 200)[:, None] * np.array([1.0, 0.9, 0.7])
    whites = 4000.0 / 4.0 ** np.arange(5)
    frames = np.stack([levels(recorded(radiance, Exposure(white))) for white in whites])
    merged = radiance_of(frames, 1.0 / whites)
    assert np.median(np.abs(merged / radiance - 1.0)) < 0.01
    assert np.max(np.abs(merged / radiance - 1.0)) < 0.06


def test_what_is_white_or_black_everywhere_gets_the_nearest_that_can_be_said() -> None:
    frames = np.array([[255, 0], [255, 0]], np.uint8)
    merged = radiance_of(frames, np.array([1.0, 0.25]))
    assert merged[0] == pytest.approx(4.0)
    assert 0.0 < merged[1] < LINEAR_OF_LEVEL[1]


def test_it_refuses_times_that_do_not_fit_the_frames() -> None:
    with pytest.raises(ValueError, match="positive exposures"):
        radiance_of(np.zeros((2, 4), np.uint8), np.array([1.0]))
    with pytest.raises(ValueError, match="positive exposures"):
        radiance_of(np.zeros((2, 4), np.uint8), np.array([1.0, 0.0]))


@given(st.floats(0.0, 1.0))
def test_levels_read_back_as_the_light_they_were_written_for(share: float) -> None:
    assert float(decoded(encoded(np.array(share)))) == pytest.approx(share, abs=1e-9)
    level = int(levels(np.array(share)))
    assert abs(float(encoded(np.array(share))) - level / 255.0) <= 0.5 / 255.0 + 1e-12


def test_middle_grey_is_level_118() -> None:
    """IEC 61966-2-1: linear 0.18 is 0.4613 of full scale."""
    assert int(levels(np.array(0.18))) == 118
    table = level_table()
    assert (np.diff(table.astype(int)) >= 0).all()
    assert table[round(0.18 * 65535)] == 118
