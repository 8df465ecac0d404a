"""The pupil's place from two edges: found again from the shifts it shows, and in the sense that a person sees."""

from __future__ import annotations

from math import cos, degrees, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rig.two_edges import TwoEdgesError, pupil, shifts


@given(st.floats(-60.0, 60.0), st.floats(-60.0, 60.0), st.floats(0.4, 2.0), st.floats(1.5, 10.0), st.floats(20.0, 70.0))
def test_it_finds_the_pupil_that_made_the_shifts(f: float, s: float, near: float, behind: float, turn: float) -> None:
    found = pupil(near, near + behind, turn, *shifts(f, s, near, near + behind, turn), read_sd_deg=0.05)
    assert found.forward_mm == pytest.approx(f, abs=1e-3)
    assert found.side_mm == pytest.approx(s, abs=1e-3)


def test_a_pupil_on_the_axis_shows_no_shift() -> None:
    assert shifts(0.0, 0.0, 0.6, 4.0, 40.0) == (0.0, 0.0)


def test_small_offsets_follow_the_first_order_rule() -> None:
    # Parallax to first order, worked by hand: e (1/near - 1/far) radians for a move e across the view.
    f, s, near, far, a = 1.0, 0.5, 1.0, 5.0, radians(40.0)
    k = degrees((1.0 / near - 1.0 / far) / 1000.0)
    plus, minus = shifts(f, s, near, far, 40.0)
    assert plus - minus == pytest.approx(-2.0 * k * f * sin(a), rel=0.01)
    assert plus + minus == pytest.approx(2.0 * k * s * (1.0 - cos(a)), rel=0.01)


def test_a_lens_too_far_forward_sees_the_near_edge_go_the_other_way() -> None:
    plus, minus = shifts(20.0, 0.0, 0.6, 4.0, 40.0)
    assert plus < 0.0 < minus


def test_a_worse_reading_is_told_as_a_wider_error() -> None:
    seen = shifts(12.0, -5.0, 0.6, 4.0, 40.0)
    fine, coarse = (pupil(0.6, 4.0, 40.0, *seen, read_sd_deg=sd) for sd in (0.05, 0.1))
    assert coarse.forward_sd_mm == pytest.approx(2.0 * fine.forward_sd_mm)
    assert fine.side_sd_mm > fine.forward_sd_mm, "sideways shows less in this test"


@pytest.mark.parametrize(
    ("near", "far", "turn", "plus", "minus", "words"),
    [
        (0.1, 4.0, 40.0, 0.0, 0.0, "near edge"),
        (1.0, 1.5, 40.0, 0.0, 0.0, "far one"),
        (1.0, 4.0, 5.0, 0.0, 0.0, "degrees"),
        (1.0, 4.0, 40.0, 60.0, -60.0, "read them again"),
    ],
)
def test_it_says_what_cannot_be_used(
    near: float, far: float, turn: float, plus: float, minus: float, words: str
) -> None:
    with pytest.raises(TwoEdgesError, match=words):
        pupil(near, far, turn, plus, minus, read_sd_deg=0.1)
