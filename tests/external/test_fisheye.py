"""Fisheye radii against the closed forms: Miyamoto 1964 (from memory), general lens model of the panotools wiki."""

from __future__ import annotations

import math

import pytest

from scoring.frame.lens import PROJECTIONS, angle, film_shift, from_film, radius, to_film
from scoring.rig.kit import Lens

RADII = {
    "equidistant": {60: 1.047198, 90: 1.570796, 95: 1.658063},
    "equisolid": {60: 1.000000, 90: 1.414214, 95: 1.474555},
    "stereographic": {60: 1.154701, 90: 2.000000, 95: 2.182617},
}
CUBIC = {"equidistant": 0.0, "equisolid": -1.0 / 24.0, "stereographic": 1.0 / 12.0}


@pytest.mark.parametrize("projection", RADII)
def test_radii_are_those_of_the_table(projection: str) -> None:
    for degrees, expected in RADII[projection].items():
        assert radius(PROJECTIONS[projection], math.radians(degrees)) == pytest.approx(expected, abs=1e-6)
        assert math.degrees(angle(PROJECTIONS[projection], expected)) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize("projection", CUBIC)
def test_near_the_axis_they_differ_by_the_cubic_term(projection: str) -> None:
    t = 0.02
    cubic = (radius(PROJECTIONS[projection], t) - t) / t**3
    assert cubic == pytest.approx(CUBIC[projection], abs=1e-4)


def test_an_image_circle_off_by_20_of_1500_px_is_off_by_1_20_deg() -> None:
    lens = Lens(mount="clip-on", projection="equidistant", field_deg=180.0, pupil_travel_mm=0.0, circle_mm=150.0)
    shift = film_shift(lens, 2.0)
    for degrees in (-60.0, 0.0, 45.0):
        t = math.radians(degrees)
        p, q = to_film(PROJECTIONS["equidistant"], math.cos(t), math.sin(t), 0.0)
        x, y, _ = from_film(PROJECTIONS["equidistant"], p + shift, q)
        assert math.degrees(math.atan2(y, x)) - degrees == pytest.approx(1.20, abs=1e-9)
