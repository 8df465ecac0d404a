"""Doubling at a seam against the exact formula for a lens that turns on a circle.

2 atan(e sin a / (d - e cos a)), a = 180/N: form as in the PanoTools documentation, page Parallax (read second-hand);
exact form and its table by trigonometry. With the small-angle form, 2 e sin a / d, a renderer would be up to 6 % off.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scoring.floor.plan import Station
from scoring.floor.read import read_kit, read_plan
from scoring.frame.measure_seams import directions, doubling, pairs_of
from scoring.frame.pose import turn_right
from scoring.frame.spin import Spin, placed, spin_of
from scoring.frame.take import Fault, Take

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
PLAN = read_plan((SCENARIOS / "floors" / "studio.json").read_bytes())
KIT = read_kit((SCENARIOS / "kits" / "plover-four.json").read_bytes())
TABLE = [
    (5, 4, 1.0, 0.4066, 0.4051),
    (10, 4, 1.0, 0.8160, 0.8103),
    (20, 3, 1.0, 2.0046, 1.9848),
    (20, 4, 1.0, 1.6437, 1.6206),
    (20, 6, 1.0, 1.1661, 1.1459),
    (20, 4, 0.6, 2.7656, 2.7009),
    (20, 4, 4.0, 0.4066, 0.4051),
    (40, 6, 0.6, 4.0521, 3.8197),
]
BY_HEIGHT = [
    ("F1", 0, 1.6437, 0.0),
    ("F1", -30, 1.9022, 0.0),
    ("F1", -60, 3.3345, 0.0),
    ("F2", 0, 0.023, 0.0),
    ("F2", -30, 0.031, 0.8101),
    ("F2", -60, 0.092, 1.4026),
]


def spun(code: str, offset_mm: float, headings: int) -> Spin:
    """A spin of a lens whose pupil stays where it is."""
    kit = replace(KIT, headings=headings, lens=replace(KIT.lens, pupil_travel_mm=0.0))
    fault = Fault(code, {"offset_mm": offset_mm})
    return spin_of(
        Take(plan=PLAN, kit=kit, station=Station(level=0, x=1.0, y=1.0), faults=(fault,)), at_m=(1.0, 1.0, 1.5)
    )


def at_seam(spin: Spin, elevation_deg: float, distance_m: float) -> tuple[float, float, float]:
    """Doubling, across in azimuth and up, of a point on seam 0 [deg]."""
    pair = pairs_of(spin.headings)[0]
    ahead = directions(np.array([pair.azimuth_deg]), np.array([elevation_deg])) @ turn_right(-spin.facing_deg).T
    point = np.array(spin.lens_point_m) + distance_m * ahead
    angle, _, up = doubling(pair.left, pair.right, point)
    first, second = (placed(spin, heading, point)[0, 0] for heading in (pair.left, pair.right))
    return float(angle[0]), float((second - first + 180.0) % 360.0 - 180.0), float(up[0])


@pytest.mark.parametrize(("offset_mm", "headings", "distance_m", "exact_deg", "small_deg"), TABLE)
def test_it_is_the_exact_doubling_at_every_row_of_the_table(
    offset_mm: float, headings: int, distance_m: float, exact_deg: float, small_deg: float
) -> None:
    measured, across, up = at_seam(spun("F1", offset_mm, headings), 0.0, distance_m)
    assert measured == pytest.approx(exact_deg, abs=1e-4)
    assert abs(across) == pytest.approx(exact_deg, abs=1e-4)
    assert up == pytest.approx(0.0, abs=1e-9)
    if offset_mm >= 20 and exact_deg > 0.5:
        assert abs(measured - small_deg) > 0.01


@pytest.mark.parametrize(("code", "elevation_deg", "across_deg", "up_deg"), BY_HEIGHT)
def test_it_goes_with_height_as_by_geometry_in_space(
    code: str, elevation_deg: float, across_deg: float, up_deg: float
) -> None:
    """Lens 20 mm off the axis, four headings, straight-line distance 1 m: by trigonometry."""
    _, across, up = at_seam(spun(code, 20.0, 4), elevation_deg, 1.0)
    assert abs(across) == pytest.approx(across_deg, abs=1e-3)
    assert abs(up) == pytest.approx(up_deg, abs=1e-3)
