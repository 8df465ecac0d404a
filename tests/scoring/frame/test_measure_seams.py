"""Seams: what two headings disagree about, where it shows, and how that goes with distance and height."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from scoring.frame.measure_seams import Points, Seam, Strip, apart, pairs_of, seam_of, seam_points
from scoring.frame.measure_trend import NOTHING, Trend, trend_of
from scoring.frame.pose import turn_right
from scoring.frame.scene import Scene, build_scene
from scoring.frame.spin import spin_of
from scoring.frame.take import Fault
from tests.scoring.frame.spins import plan, take, wrong


@cache
def scene() -> Scene:
    return build_scene(plan("one-bedroom"), 0, seed=1)


def textured(middle_deg: float, seed: int, contrast: float = 60.0) -> Strip:
    levels = 128.0 + contrast * (np.random.default_rng(seed).random((900, 120)) - 0.5)
    linear = np.repeat(levels[:, :, None], 3, axis=2)
    return Strip(middle_deg - 12.0, 90.0, 5.0, linear, linear, levels, levels)


def seams(*faults: Fault, contrast: float = 60.0, **more: Any) -> tuple[list[Seam], Points]:
    spin = spin_of(take(*faults, **more))
    found, points = [], []
    for pair in pairs_of(spin.headings):
        own = seam_points(
            scene(), np.array(spin.lens_point_m), turn_right(-spin.facing_deg), pair,
            textured(pair.azimuth_deg, pair.number, contrast), spin.feather_deg, 6.0,
        )  # fmt: skip
        found.append(seam_of(pair, own))
        points.append(own)
    return found, Points._make(np.concatenate(column) for column in zip(*points, strict=True))


def trend(*faults: Fault, **more: Any) -> Trend:
    found, points = seams(*faults, **more)
    return trend_of(points, [seam.number for seam in found if seam.typical_deg > 0.15])


def test_it_finds_a_clean_spin_within_what_cannot_be_seen() -> None:
    found, points = seams()
    assert len(found) == 4
    assert all(seam.worst is not None and seam.worst.doubling_deg < 0.15 for seam in found)
    assert trend_of(points, []) == NOTHING


def test_nothing_shows_under_the_disc_that_covers_the_tripod() -> None:
    spin = spin_of(take(wrong("F1", offset_mm=20.0)))
    (pair, *_) = pairs_of(spin.headings)
    rest = (scene(), np.array(spin.lens_point_m), turn_right(-spin.facing_deg), pair, textured(pair.azimuth_deg, 1))
    bare, covered = (seam_points(*rest, spin.feather_deg, 6.0, cover_deg) for cover_deg in (0.0, 25.0))
    assert bare.elevation_deg[bare.shows].min() < -65.0
    assert covered.elevation_deg[covered.shows].min() > -65.0
    assert covered.elevation_deg[covered.both].min() > -65.0
    assert covered.shows.sum() == (bare.shows & (bare.elevation_deg > -65.0)).sum()


def test_it_finds_the_worst_where_things_are_nearest() -> None:
    found, points = seams(wrong("F1", offset_mm=20.0))
    for seam in found:
        assert seam.worst is not None
        own = points.where((points.seam == seam.number) & points.shows)
        assert seam.worst.distance_m <= float(np.quantile(own.distance_m, 0.1))
        assert 0.0 < seam.mean_deg < seam.typical_deg <= seam.worst.doubling_deg


def test_it_counts_only_what_shows() -> None:
    found, points = seams(wrong("F1", offset_mm=20.0), contrast=4.0)
    assert not points.shows.any()
    assert all(seam.worst is None and seam.typical_deg == 0.0 and seam.mean_deg > 0.15 for seam in found)


def test_it_counts_only_where_both_pictures_show() -> None:
    _, points = seams(wrong("F1"))
    middles = np.array([45.0, 135.0, -135.0, -45.0])[points.seam]
    beside = np.abs((points.azimuth_deg - middles + 180.0) % 360.0 - 180.0)
    assert points.shows.any()
    assert beside[points.shows].max() <= 3.0
    assert np.array_equal(points.both, beside <= 3.0)


def test_its_horizon_steps_by_the_roll() -> None:
    """Step per seam 2 atan(tan r sin a): 1.41 deg for 1 deg of roll and four headings."""
    found, _ = seams(wrong("F3", roll_deg=1.0))
    wanted = np.degrees(2.0 * np.arctan(np.tan(np.radians(1.0)) * np.sin(np.pi / 4)))
    assert [abs(seam.horizon_step_deg) for seam in found] == pytest.approx([wanted] * 4, abs=1e-3)


def test_it_compares_nothing_across_a_sector_that_was_not_taken_or_is_another_part() -> None:
    for fill in ("black", "repeated", "squeezed"):
        found, _ = seams(wrong("F8", missing=1, fill=fill))
        lost = [seam for seam in found if not seam.shared]
        assert len(lost) >= 2
        assert all(seam.worst is None and seam.typical_deg == 0.0 for seam in lost)


def test_it_measures_angles_on_the_sphere() -> None:
    angle, right, up = apart(np.array([[179.0, 60.0], [10.0, 0.0]]), np.array([[-179.0, 60.0], [10.0, 0.5]]))
    assert right == pytest.approx([1.0, 0.0])
    assert up == pytest.approx([0.0, 0.5])
    assert angle == pytest.approx([1.0, 0.5], abs=1e-4)


@pytest.mark.parametrize(
    ("fault", "wanted"),
    [
        (wrong("F1", offset_mm=20.0), Trend("inverse", "sideways", True, False)),
        (wrong("F1", offset_mm=-12.0), Trend("inverse", "sideways", True, False)),
        (wrong("F2", offset_mm=20.0), Trend("inverse", "vertical", False, True)),
        (wrong("F3", roll_deg=2.0), Trend("none", "vertical", True, False)),
        (wrong("F3", roll_deg=0.0, lean_deg=3.0), Trend("none", "sideways", False, True)),
        (wrong("F7", slip_deg=2.0), Trend("none", "sideways", True, False)),
        (wrong("F9", offset_mm=1.5, toward_deg=0.0), Trend("none", "vertical", False, True)),
        (wrong("F9", offset_mm=1.5, toward_deg=90.0), Trend("none", "sideways", False, True)),
    ],
    ids=lambda value: value.code if isinstance(value, Fault) else "",
)  # fmt: skip
@pytest.mark.parametrize("at", [(2.0, 2.0), (1.3, 3.4)])
def test_it_tells_the_law_and_the_way(fault: Fault, wanted: Trend, at: tuple[float, float]) -> None:
    assert trend(fault, x=at[0], y=at[1]) == wanted
