"""Uprights: long edges that should stand plumb, how far each leans in the frame, and which way."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scoring.frame.measure_uprights import LONG_MIN_DEG, Upright, leaning_both_ways, uprights_of
from scoring.frame.spin import spin_of
from tests.scoring.frame.spins import take, wrong
from tests.scoring.frame.stages import measured, studio

AT_M = (0.0, 0.0, 1.5)
WIDE = 512


def drawn(*edges: tuple[float, float, float]) -> np.ndarray:
    """Levels of a frame with dark bars: azimuth, foot and top of each, straight up in the frame [deg]."""
    levels = np.full((WIDE // 2, WIDE), 200.0)
    for azimuth, foot, top in edges:
        x = round((azimuth / 360.0 + 0.5) * WIDE)
        y0, y1 = (round((0.5 - el / 180.0) * WIDE / 2) for el in (top, foot))
        levels[y0:y1, x : x + 4] = 40.0
    return levels


def found(levels: np.ndarray) -> tuple[Upright, ...]:
    spin = spin_of(take(), AT_M)
    return uprights_of(spin.headings, spin.half_deg, levels, 10.0)


def test_a_long_edge_of_a_level_frame_stands_plumb_where_it_is() -> None:
    (one,) = found(drawn((10.0, -30.0, 20.0)))
    assert one.azimuth_deg == pytest.approx(11.5, abs=2.5)
    assert one.elevation_deg == pytest.approx(-5.0, abs=2.0)
    assert one.long_deg == pytest.approx(50.0, abs=3.0)
    assert one.lean_deg == pytest.approx(0.0, abs=1e-6)


def test_short_edges_and_level_ones_are_no_uprights() -> None:
    assert found(drawn((10.0, 0.0, LONG_MIN_DEG - 4.0))) == ()
    level = np.full((WIDE // 2, WIDE), 200.0)
    level[WIDE // 4 :] = 40.0
    assert found(level) == ()


def test_an_edge_in_the_soft_seam_is_left_out() -> None:
    assert found(drawn((43.0, -30.0, 20.0), (10.0, -30.0, 20.0)))[0].azimuth_deg < 40.0
    assert found(drawn((43.0, -30.0, 20.0))) == ()


@pytest.mark.parametrize("tilt_deg", [1.5, 4.0])
def test_uprights_lean_as_the_tilt_says_at_their_azimuth(tilt_deg: float) -> None:
    """A tilt toward an azimuth leans uprights a quarter turn to its right to the right, as seen; none lies level."""
    level = measured(studio(wrong("F4", tilt_deg=tilt_deg, toward_deg=30.0)))
    assert len(level.uprights) >= 3
    for one in level.uprights:
        up = math.tan(math.radians(one.elevation_deg))
        turn = math.radians(one.azimuth_deg - 30.0)
        bent = tilt_deg * math.sin(turn) * math.hypot(1.0, up * math.tan(math.radians(tilt_deg)))
        assert one.lean_deg == pytest.approx(bent, abs=0.2 + 0.25 * tilt_deg * abs(up))
        assert one.lean_deg * math.sin(turn) > 0.0


def test_the_first_upright_is_the_one_whose_top_stands_farthest_off_plumb() -> None:
    uprights = measured(studio(wrong("F4", tilt_deg=2.5))).uprights
    off = [one.long_deg * math.tan(math.radians(abs(one.lean_deg))) for one in uprights]
    assert off == sorted(off, reverse=True)


def test_it_is_pointed_at_first_with_one_that_leans_the_other_way() -> None:
    tilted = measured(studio(wrong("F4", tilt_deg=2.5)))
    first, other = leaning_both_ways(tilted.uprights)
    assert first.lean_deg * other.lean_deg < 0.0
    boxes = tilted.regions_of("tilt_deg")[:2]
    assert [(box.azimuth_deg, box.value) for box in boxes] == [
        (one.azimuth_deg, abs(one.lean_deg)) for one in (first, other)
    ]
    assert leaning_both_ways(()) == ()
    assert leaning_both_ways((first,)) == (first,)
