"""Level: tilt and its direction from where the world lands in the frame, scallops beside it, sectors round it."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.measure_level import Level, Sectors, horizon_at, level_of, sectors_of
from scoring.frame.pose import turn_right
from scoring.frame.spin import spin_of
from scoring.frame.take import Take
from tests.scoring.frame.spins import take, wrong


def level(given: Take) -> Level:
    spin = spin_of(given)
    return level_of(spin.headings, spin.half_deg)


def sectors(given: Take) -> Sectors:
    spin = spin_of(given)
    return sectors_of(spin.headings, spin.half_deg, turn_right(-spin.facing_deg))


@pytest.mark.parametrize("tilt_deg", [0.25, 1.0, 5.0])
@pytest.mark.parametrize("toward_deg", [0.0, 30.0, 200.0])
@pytest.mark.parametrize("name", ["heron-three", "plover-four", "bittern-six"])
def test_it_finds_the_tilt_and_where_the_axis_leans(tilt_deg: float, toward_deg: float, name: str) -> None:
    found = level(take(wrong("F4", tilt_deg=tilt_deg, toward_deg=toward_deg), with_kit=name, facing_deg=70.0))
    assert found.tilt_deg == pytest.approx(tilt_deg, abs=1e-6)
    assert (found.toward_deg - toward_deg + 180.0) % 360.0 == pytest.approx(180.0, abs=1e-6)
    assert found.scallop_deg == pytest.approx(0.0, abs=1e-6)


def test_it_finds_a_clean_spin_level() -> None:
    found = level(take())
    assert found.tilt_deg == pytest.approx(0.0, abs=1e-9)
    assert found.toward_deg == 0.0


def test_it_finds_scallops_of_a_lean_and_no_tilt() -> None:
    """A lean p stands p (1 - cos a) higher in the middle of a heading than at its seams: 0.3 deg for 1 deg, N = 4."""
    found = level(take(wrong("F3", roll_deg=0.0, lean_deg=1.0)))
    assert found.scallop_deg == pytest.approx(1.0 - np.cos(np.pi / 4), abs=0.005)
    assert found.tilt_deg == pytest.approx(0.0, abs=1e-9)


def test_it_finds_neither_in_a_roll() -> None:
    found = level(take(wrong("F3", roll_deg=3.0)))
    assert found.tilt_deg == pytest.approx(0.0, abs=1e-9)
    assert found.scallop_deg == pytest.approx(0.0, abs=1e-9)


def test_its_wave_stands_highest_where_the_axis_leans() -> None:
    wave = Level(2.0, 40.0, 0.0)
    assert horizon_at(wave, 40.0) == pytest.approx(2.0)
    assert horizon_at(wave, 130.0) == pytest.approx(0.0, abs=1e-12)
    assert horizon_at(wave, -140.0) == pytest.approx(-2.0)


def test_it_misses_nothing_and_repeats_nothing_in_a_whole_spin() -> None:
    found = sectors(take(wrong("F1"), facing_deg=33.0))
    assert (found.missing_deg, found.repeated_deg) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("name", "missing", "wide_deg"), [("heron-three", 1, 120), ("plover-four", 2, 180), ("bittern-six", 1, 60)]
)
def test_it_finds_a_black_sector_as_wide_as_the_headings_that_were_not_taken(
    name: str, missing: int, wide_deg: float
) -> None:
    found = sectors(take(wrong("F8", missing=missing, fill="black"), with_kit=name))
    assert found.missing_deg == pytest.approx(wide_deg, abs=1.0)
    assert found.repeated_deg == 0.0
    middle_deg = 360.0 - 0.5 * 360.0 / {"heron-three": 3, "plover-four": 4, "bittern-six": 6}[name] - 0.5 * wide_deg
    assert found.missing_at_deg % 360.0 == pytest.approx(middle_deg, abs=1.0)


def test_it_finds_a_sector_that_is_shown_twice() -> None:
    found = sectors(take(wrong("F8", missing=1, fill="repeated")))
    assert found.repeated_deg == pytest.approx(90.0, abs=1.0)
    assert found.repeated_at_deg == pytest.approx(-90.0, abs=1.0)
    assert found.missing_deg == pytest.approx(90.0, abs=1.0)


@pytest.mark.parametrize(("missing", "middle_deg"), [(1, -90.0), (2, -135.0)])
def test_what_is_missing_is_where_the_copies_stand_in_for_it(missing: int, middle_deg: float) -> None:
    found = sectors(take(wrong("F8", missing=missing, fill="repeated")))
    assert found.missing_at_deg == pytest.approx(middle_deg, abs=1.0)


def test_it_finds_what_a_squeezed_spin_leaves_out() -> None:
    """Three of four headings spread over the whole circle: each shows 120 deg, 270 + 30 are seen, 60 are not."""
    found = sectors(take(wrong("F8", missing=1, fill="squeezed")))
    assert found.missing_deg == pytest.approx(60.0, abs=1.0)
    assert found.repeated_deg == pytest.approx(30.0, abs=1.0)
