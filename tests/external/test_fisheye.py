"""Fisheye radii against the closed forms: Miyamoto 1964 (from memory), general lens model of the panotools wiki.

And against OpenCV's fisheye model (Kannala and Brandt 2006: r = t + k1 t^3 + ... + k4 t^9), set to the first terms of
each projection's series (by calculus). An orthographic lens ends at a quarter turn off its axis.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from scoring.frame.lens import PROJECTIONS, angle, film_shift, from_film, radius, to_film, to_film_all
from scoring.rig.kit import Lens

RADII = {
    "equidistant": {60: 1.047198, 90: 1.570796, 95: 1.658063},
    "equisolid": {60: 1.000000, 90: 1.414214, 95: 1.474555},
    "stereographic": {60: 1.154701, 90: 2.000000, 95: 2.182617},
    "orthographic": {60: 0.866025, 90: 1.000000},
}
SERIES = {
    "equidistant": (0.0, 0.0, 0.0, 0.0),
    "equisolid": (-1 / 24, 1 / 1920, -1 / 322560, 1 / 92897280),
    "stereographic": (1 / 12, 1 / 120, 17 / 20160, 31 / 362880),
    "orthographic": (-1 / 6, 1 / 120, -1 / 5040, 1 / 362880),
}
"""Coefficients of t^3 to t^9."""


def test_every_projection_has_its_row() -> None:
    assert set(RADII) == set(SERIES) == set(PROJECTIONS)


@pytest.mark.parametrize("projection", RADII)
def test_radii_are_those_of_the_table(projection: str) -> None:
    for degrees, expected in RADII[projection].items():
        assert radius(PROJECTIONS[projection], math.radians(degrees)) == pytest.approx(expected, abs=1e-6)
        assert math.degrees(angle(PROJECTIONS[projection], expected)) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize("projection", SERIES)
def test_near_the_axis_they_differ_by_the_cubic_term(projection: str) -> None:
    t = 0.02
    cubic = (radius(PROJECTIONS[projection], t) - t) / t**3
    assert cubic == pytest.approx(SERIES[projection][0], abs=1e-4)


@pytest.mark.parametrize("projection", SERIES)
def test_places_on_the_film_are_those_of_opencv_s_fisheye(projection: str) -> None:
    """Within 40 degrees of the axis, where the terms that the series leaves out are below a millionth."""
    dice = np.random.default_rng(8)
    off, round_about = np.radians(dice.uniform(0.5, 40.0, 300)), dice.uniform(0.0, 2.0 * math.pi, 300)
    ahead, right, down = np.cos(off), np.sin(off) * np.cos(round_about), np.sin(off) * np.sin(round_about)
    points = np.stack([right, down, ahead], axis=1)[:, None, :]
    still = np.zeros((3, 1))
    found, _ = cv2.fisheye.projectPoints(points, still, still, np.eye(3), np.array(SERIES[projection]))
    own = to_film_all(PROJECTIONS[projection], np.stack([ahead, -right, -down], axis=1))
    assert np.abs(found[:, 0, :] + own).max() < 1e-6


@pytest.mark.parametrize("degrees", [90.0, 95.0, 120.0, 180.0])
def test_an_orthographic_lens_sees_nothing_behind_a_quarter_turn(degrees: float) -> None:
    code, t = PROJECTIONS["orthographic"], math.radians(degrees)
    assert radius(code, t) == pytest.approx(1.0)
    assert angle(code, 1.0) == angle(code, 1.3) == pytest.approx(0.5 * math.pi)
    assert from_film(code, 0.0, 1.3) == pytest.approx((0.0, 0.0, 1.0))
    if degrees < 180.0:
        assert to_film(code, math.cos(t), 0.0, math.sin(t)) == pytest.approx((0.0, 1.0))


def test_an_image_circle_off_by_20_of_1500_px_is_off_by_1_20_deg() -> None:
    lens = Lens(mount="clip-on", projection="equidistant", field_deg=180.0, pupil_travel_mm=0.0, circle_mm=150.0)
    shift = film_shift(lens, 2.0)
    for degrees in (-60.0, 0.0, 45.0):
        t = math.radians(degrees)
        p, q = to_film(PROJECTIONS["equidistant"], math.cos(t), math.sin(t), 0.0)
        x, y, _ = from_film(PROJECTIONS["equidistant"], p + shift, q)
        assert math.degrees(math.atan2(y, x)) - degrees == pytest.approx(1.20, abs=1e-9)
