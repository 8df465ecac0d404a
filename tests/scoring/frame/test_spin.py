"""Poses, faults and the exact way there and back between a believed direction and a ray."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scoring.frame.pose import turn_right
from scoring.frame.spin import PlaceError, Spin, lens_point, placed, rays, seam_weights, spin_of
from scoring.rig.kit import Lens
from tests.scoring.frame.spins import kit, take, with_fixed_pupil, wrong


def seam_step(spin: Spin, elevation_deg: float, distance_m: float = 1e6) -> tuple[float, float]:
    """Azimuth and elevation by which the two headings at the first seam disagree over a point [deg]."""
    azimuth, up = math.radians(spin.seams_deg[0]), math.radians(elevation_deg)
    toward = np.array([math.cos(up) * math.cos(azimuth), -math.cos(up) * math.sin(azimuth), math.sin(up)])
    point = np.array(spin.lens_point_m) + distance_m * turn_right(-spin.facing_deg) @ toward
    a, b = (placed(spin, spin.headings[k], point[None])[0] for k in (0, 1))
    return float((a[0] - b[0] + 180.0) % 360.0 - 180.0), float(a[1] - b[1])


@pytest.mark.parametrize("name", ["heron-three", "plover-four", "bittern-six"])
def test_placed_is_the_inverse_of_rays(name: str) -> None:
    given = take(wrong("F9", offset_mm=2.0, tilt_deg=3.0, toward_deg=70.0), wrong("F6"), wrong("F2"), with_kit=name)
    spin = spin_of(given)
    dice = np.random.default_rng(1)
    for heading in spin.headings:
        believed = np.stack([heading.believed_deg + dice.uniform(-75, 75, 300), dice.uniform(-75, 75, 300)], axis=1)
        origins, directions = rays(heading, believed)
        back = placed(spin, heading, origins + directions * dice.uniform(0.3, 9.0, (300, 1)))
        assert np.abs((back - believed + 180.0) % 360.0 - 180.0).max() < 1e-9


@pytest.mark.parametrize("name", ["heron-three", "plover-four", "bittern-six"])
def test_a_clean_lens_is_in_place_for_what_lies_at_a_seam_at_eye_level(name: str) -> None:
    sideways, upward = seam_step(spin_of(take(with_kit=name)), 0.0, 0.6)
    assert abs(sideways) < 1e-9
    assert abs(upward) < 1e-9


def test_a_wandering_pupil_leaves_a_little_even_when_clean() -> None:
    spin = spin_of(take(with_kit="heron-three"))
    assert 0.01 < abs(seam_step(spin, -50.0, 0.8)[0]) < 0.4


@pytest.mark.parametrize("count", [3, 4, 6])
def test_roll_steps_by_twice_atan_tan_r_sin_a_at_eye_level(count: int) -> None:
    given = take(wrong("F3", roll_deg=1.0))
    spin = spin_of(with_fixed_pupil(replace(given, kit=replace(given.kit, headings=count))))
    up = 2.0 * math.degrees(math.atan(math.tan(math.radians(1.0)) * math.sin(math.pi / count)))
    assert abs(seam_step(spin, 0.0)[1]) == pytest.approx(up, abs=3e-4)


def test_lean_is_nothing_at_eye_level_and_opposite_above_and_below() -> None:
    spin = spin_of(with_fixed_pupil(take(wrong("F3", roll_deg=0.0, lean_deg=2.0))))
    above, level, below = (seam_step(spin, el)[0] for el in (40.0, 0.0, -40.0))
    assert abs(level) < 0.1
    assert above * below < 0.0
    assert 2.2 < min(abs(above), abs(below)) <= max(abs(above), abs(below)) < 2.6


@pytest.mark.parametrize(("toward_deg", "part", "size_deg"), [(0.0, 1, 0.8), (90.0, 0, 1.8)])
def test_a_lens_off_centre_steps_square_to_its_offset_above_and_below(
    toward_deg: float, part: int, size_deg: float
) -> None:
    kit_of = with_lens(projection="equidistant", circle_mm=45.0)
    spin = spin_of(replace(take(wrong("F9", offset_mm=1.0, toward_deg=toward_deg)), kit=kit_of))
    above, level, below = (seam_step(spin, el)[part] for el in (40.0, 0.0, -40.0))
    assert abs(level) < 0.05
    assert above * below < 0.0
    assert abs(above) == pytest.approx(size_deg, abs=0.15)
    assert abs(below) == pytest.approx(size_deg, abs=0.15)


def with_lens(**values: Any) -> Any:
    given = kit("plover-four")
    old = given.lens
    known = {name: getattr(old, name) for name in ("mount", "projection", "field_deg", "pupil_travel_mm", "circle_mm")}
    return replace(given, lens=Lens(**{**known, "pupil_travel_mm": 0.0, **values}))


def test_slips_add_up_to_the_closing_seam() -> None:
    spin = spin_of(with_fixed_pupil(take(wrong("F7", slip_deg=2.0))))
    far = np.array(spin.lens_point_m) + 1e6 * turn_right(-spin.facing_deg) @ turn_right(315.0)[:, 0]
    last, first = (placed(spin, spin.headings[k], far[None])[0, 0] for k in (3, 0))
    assert abs(seam_step(spin, 0.0)[0]) == pytest.approx(2.0, abs=1e-3)
    assert abs((last - first + 180.0) % 360.0 - 180.0) == pytest.approx(6.0, abs=1e-3)


def test_a_moved_tripod_spares_the_headings_before_it() -> None:
    clean, moved = spin_of(take()), spin_of(take(wrong("F5", heading=3.0, shift_mm=40.0, yaw_deg=1.0)))
    for k in (0, 1):
        assert np.array_equal(clean.headings[k].row(), moved.headings[k].row())
    for k in (2, 3):
        gone = moved.headings[k].origin_m - clean.headings[k].origin_m
        assert np.linalg.norm(gone) == pytest.approx(0.040, abs=2e-4)


def test_what_is_irregular_depends_on_the_seed_alone() -> None:
    one, again, other = (spin_of(take(wrong("F6"), seed=seed)) for seed in (7, 7, 8))
    assert np.array_equal(one.headings[2].row(), again.headings[2].row())
    assert not np.array_equal(one.headings[2].row(), other.headings[2].row())


def test_a_spin_may_be_squeezed_into_the_whole_turn() -> None:
    spin = spin_of(take(wrong("F8", missing=1.0, fill="squeezed")))
    assert [heading.believed_deg for heading in spin.headings] == [0.0, 120.0, 240.0]
    assert spin.half_deg == 60.0


def test_shares_of_neighbours_sum_to_one() -> None:
    half, feather = math.radians(45.0), math.radians(3.0)
    for off in np.radians([41.0, 42.5, 44.0, 45.0, 46.9]):
        total = seam_weights(off, half, feather) + seam_weights(off - 2.0 * half, half, feather)
        assert total == pytest.approx(1.0, abs=1e-12)


def test_there_is_no_tripod_in_a_wall() -> None:
    with pytest.raises(PlaceError, match="no floor to stand on"):
        lens_point(take(x=-3.0, y=-40.0))
