"""The film and back: each projection is undone by its inverse, and agrees with its own radius."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scoring.frame.lens import PROJECTIONS, edge_radius, from_film, from_film_all, radius, to_film, to_film_all
from tests.scoring.frame.spins import kit


@pytest.mark.parametrize("projection", PROJECTIONS)
def test_a_direction_comes_back_from_the_film(projection: str) -> None:
    dice = np.random.default_rng(2)
    directions = dice.normal(size=(500, 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    ahead = directions[directions[:, 0] > (0.05 if projection == "orthographic" else -0.6)]
    code = PROJECTIONS[projection]
    assert np.abs(from_film_all(code, to_film_all(code, ahead)) - ahead).max() < 1e-12
    assert np.abs(to_film_all(code, 7.0 * ahead) - to_film_all(code, ahead)).max() < 1e-12


@pytest.mark.parametrize("projection", PROJECTIONS)
@pytest.mark.parametrize("degrees", [0.0, 1e-6, 10.0, 60.0, 89.0, 100.0])
def test_places_lie_at_the_radius_of_their_angle(projection: str, degrees: float) -> None:
    t, code = math.radians(degrees), PROJECTIONS[projection]
    p, q = to_film(code, math.cos(t), math.sin(t) * 0.6, math.sin(t) * 0.8)
    assert math.hypot(p, q) == pytest.approx(radius(code, t), abs=1e-9)
    assert (p, q) == pytest.approx((0.6 * radius(code, t), 0.8 * radius(code, t)), abs=1e-9)


def test_left_is_left_and_up_is_up() -> None:
    for code in PROJECTIONS.values():
        assert to_film(code, 1.0, 0.2, 0.0)[0] > 0.0
        assert to_film(code, 1.0, 0.0, 0.2)[1] > 0.0
        assert from_film(code, 0.0, 0.0) == (1.0, 0.0, 0.0)


def test_the_image_circle_ends_where_the_field_does() -> None:
    assert edge_radius(kit("plover-four").lens) == pytest.approx(math.sqrt(2.0))
    assert edge_radius(kit("bittern-six").lens) == pytest.approx(2.0 * math.tan(math.radians(37.5)))
