"""Sight against exact CGAL (PyPI pyvispoly) [library], with PyPI pysovist [library] as a second opinion."""

from __future__ import annotations

import math

import numpy as np
import pysovist
import pytest
import pyvispoly
from shapely.geometry import Point, Polygon
from shapely.geometry.polygon import orient

from scoring.floor.sight import visibility
from tests.external.random_polygons import edges, inner_points, starry

AGREE = 1e-9
"""Relative difference of areas."""


class Cgal:
    """CGAL's exact visibility in one polygon."""

    def __init__(self, polygon: Polygon) -> None:
        turned = orient(polygon)
        rings = [
            [pyvispoly.Point(x, y) for x, y in list(ring.coords)[:-1]] for ring in (turned.exterior, *turned.interiors)
        ]
        self.calculator = pyvispoly.VisibilityPolygonCalculator(pyvispoly.PolygonWithHoles(rings[0], rings[1:]))

    def polygon(self, x: float, y: float) -> Polygon:
        found = self.calculator.compute_visibility_polygon(pyvispoly.Point(x, y))
        return Polygon([(float(p.x()), float(p.y())) for p in found.boundary()])


def compare(seed: int, corners: int, holes: int, queries: int) -> int:
    """Compare area and shape from several points of one polygon; its number of corners."""
    rng = np.random.default_rng(seed)
    polygon = starry(rng, corners, holes)
    drawn = edges(polygon)
    cgal = Cgal(polygon)
    for x, y in inner_points(rng, polygon, queries):
        ours, theirs = Polygon(visibility(drawn, x, y)), cgal.polygon(x, y)
        assert abs(ours.area - theirs.area) <= AGREE * theirs.area, (seed, x, y)
        outside = ours.buffer(0).symmetric_difference(theirs.buffer(0)).area
        assert outside <= 10.0 * AGREE * theirs.area, (seed, x, y)
    return len(drawn)


@pytest.mark.parametrize("block", range(6))
def test_it_sees_the_same_area_and_shape_as_cgal_in_300_polygons_with_holes(block: int) -> None:
    sizes = [compare(1000 * block + i, 8 + (37 * i) % 60, i % 14, 2) for i in range(50)]
    assert max(sizes) > 80


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_it_sees_the_same_as_cgal_among_a_thousand_corners(seed: int) -> None:
    assert compare(seed, 320, 170, 4) >= 950


@pytest.mark.proof
def test_it_sees_the_same_as_cgal_in_300_polygons_of_up_to_a_thousand_corners() -> None:
    rng = np.random.default_rng(20)
    sizes = [compare(7000 + i, int(rng.integers(5, 330)), int(rng.integers(0, 170)), 3) for i in range(300)]
    assert max(sizes) > 900


@pytest.mark.parametrize("reach", [math.inf, 6.0, 2.5, 0.7])
def test_it_sees_the_same_area_as_pysovist_within_a_limited_reach(reach: float) -> None:
    for seed in range(12):
        rng = np.random.default_rng(seed)
        polygon = starry(rng, 30, 10)
        drawn = edges(polygon)
        for x, y in inner_points(rng, polygon, 3):
            theirs = pysovist.isovist(drawn.reshape(-1, 2, 2), (x, y), max_distance=reach).area
            ours = Polygon(visibility(drawn, x, y, reach)).area
            assert abs(ours - theirs) <= AGREE * theirs, (seed, x, y)


def test_an_unlimited_reach_and_a_great_one_see_the_same() -> None:
    rng = np.random.default_rng(5)
    polygon = starry(rng, 40, 12)
    for x, y in inner_points(rng, polygon, 10):
        far, endless = visibility(edges(polygon), x, y, 100.0), visibility(edges(polygon), x, y)
        assert np.allclose(far, endless)
        assert Polygon(endless).buffer(1e-9).contains(Point(x, y))
