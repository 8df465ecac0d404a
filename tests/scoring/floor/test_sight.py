from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from scoring.floor.bands import walls
from scoring.floor.sight import inside, nearest, visibility
from scoring.floor.sweep import in_turn
from tests.external.random_polygons import inner_points, starry

SQUARE = walls(Polygon([(0, 0), (4, 0), (4, 3), (0, 3)]))
L_ROOM = walls(Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)]))


def area(polygon: np.ndarray) -> float:
    return Polygon(polygon).area


def test_it_sees_all_of_a_convex_room() -> None:
    assert area(visibility(SQUARE, 1.0, 1.0)) == pytest.approx(12.0, abs=1e-12)


def test_it_sees_round_no_corner() -> None:
    # from (1, 5), the line past the inner corner (2, 2) meets the lower wall at x = 8/3
    seen = Polygon(visibility(L_ROOM, 1.0, 5.0))
    assert seen.area == pytest.approx(12.0 + 2.0 * (2.0 / 3.0) / 2.0, abs=1e-12)
    assert not seen.intersects(Point(4.0, 1.0))


def test_walls_may_be_given_in_either_sense_and_any_order() -> None:
    shuffled = L_ROOM[[3, 0, 5, 1, 4, 2]].copy()
    shuffled[::2] = shuffled[::2][:, [2, 3, 0, 1]]
    assert area(visibility(shuffled, 1.0, 5.0)) == pytest.approx(area(visibility(L_ROOM, 1.0, 5.0)), rel=1e-14)


@pytest.mark.parametrize("point", [(0.0, 1.0), (4.0, 3.0), (2.0, 5e-8)])
def test_a_point_on_a_wall_is_refused(point: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="lies on a wall"):
        visibility(SQUARE, *point)


def test_a_view_left_open_is_refused_unless_the_reach_ends_it() -> None:
    with pytest.raises(ValueError, match="do not close"):
        visibility(SQUARE[:3], 1.0, 1.0)
    assert 0.0 < area(visibility(SQUARE[:3], 1.0, 1.0, 2.0)) < math.pi * 4.0


@pytest.mark.parametrize("bad", [(math.nan, 1.0, 5.0), (1.0, math.inf, 5.0), (1.0, 1.0, 0.0), (1.0, 1.0, math.nan)])
def test_values_that_mean_nothing_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"finite|reach"):
        visibility(SQUARE, *bad)


@pytest.mark.parametrize("reach", [0.3, 0.9])
def test_a_whole_circle_has_its_exact_area(reach: float) -> None:
    assert area(visibility(SQUARE, 1.0, 1.0, reach)) == pytest.approx(math.pi * reach**2, rel=1e-12)


def test_a_circle_cut_by_one_wall_has_its_exact_area() -> None:
    # circle of radius 1.5 about (2, 1): the wall y = 0 cuts off a segment of half angle acos(1 / 1.5)
    half = math.acos(1.0 / 1.5)
    cut = 1.5**2 * (half - math.sin(half) * math.cos(half))
    assert area(visibility(SQUARE, 2.0, 1.0, 1.5)) == pytest.approx(math.pi * 1.5**2 - cut, rel=1e-12)


def test_an_arc_lies_within_a_tenth_of_a_thousandth_of_the_circle() -> None:
    away = np.hypot(*(visibility(SQUARE, 1.5, 1.5, 1.0) - 1.5).T)
    assert away.min() > 0.9998
    assert away.max() < 1.0002


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.floats(-180.0, 180.0), st.sampled_from([math.inf, 5.0, 1.0]), st.booleans())
def test_turning_and_mirroring_the_walls_turns_and_mirrors_the_view(
    seed: int, turn: float, reach: float, mirror: bool
) -> None:
    rng = np.random.default_rng(seed)
    polygon = starry(rng, 20, 6)
    (x, y) = inner_points(rng, polygon, 1)[0]
    here = Polygon(visibility(walls(polygon), x, y, reach))

    def move(shape: Polygon | Point) -> Polygon:
        flipped = affinity.scale(shape, -1.0, 1.0, origin=(0, 0)) if mirror else shape
        return affinity.rotate(flipped, turn, origin=(3.0, -2.0))

    point = move(Point(x, y))
    there = Polygon(visibility(walls(move(polygon)), point.x, point.y, reach))
    assert there.area == pytest.approx(here.area, rel=1e-9)
    assert there.buffer(0).symmetric_difference(move(here).buffer(0)).area <= 1e-8 * here.area


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000))
def test_the_view_is_a_star_about_its_point_and_lies_inside_the_walls(seed: int) -> None:
    rng = np.random.default_rng(seed)
    polygon = starry(rng, 25, 8)
    x, y = inner_points(rng, polygon, 1)[0]
    seen = visibility(walls(polygon), x, y)
    assert Polygon(seen).area <= polygon.area * (1.0 + 1e-12)
    spoke = np.arctan2(seen[:, 1] - y, seen[:, 0] - x)
    turns = np.diff(np.append(spoke, spoke[0]))
    assert np.all((turns + math.pi) % (2.0 * math.pi) - math.pi > -1e-9)
    loose = polygon.buffer(1e-9)
    assert all(loose.covers(LineString([(x, y), corner])) for corner in seen)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000))
def test_two_points_see_each_other_or_neither_does(seed: int) -> None:
    rng = np.random.default_rng(seed)
    polygon = starry(rng, 20, 8)
    (ax, ay), (bx, by) = inner_points(rng, polygon, 2)
    from_a, from_b = Polygon(visibility(walls(polygon), ax, ay)), Polygon(visibility(walls(polygon), bx, by))
    grazing = abs(from_a.exterior.distance(Point(bx, by))) < 1e-9
    assert grazing or from_a.contains(Point(bx, by)) == from_b.contains(Point(ax, ay))


def test_inside_follows_the_rings_even_with_a_hole() -> None:
    ring = walls(Polygon([(0, 0), (4, 0), (4, 4), (0, 4)], [[(1, 1), (2, 1), (2, 2), (1, 2)]]))
    assert inside(ring, 3.0, 3.0)
    assert not inside(ring, 1.5, 1.5)
    assert not inside(ring, 5.0, 1.0)


def test_nearest_gives_the_gap_and_the_point_of_the_wall() -> None:
    assert nearest(SQUARE, 1.0, 0.25) == pytest.approx((0.25, 1.0, 0.0))
    assert nearest(SQUARE, -3.0, -4.0) == pytest.approx((5.0, 0.0, 0.0))


@pytest.mark.parametrize("crowd", [0.0, 0.5, 1.0])
def test_directions_are_put_in_order_whether_they_spread_or_crowd(crowd: float) -> None:
    rng = np.random.default_rng(7)
    for count in (1, 2, 3, 30, 400):
        key = rng.uniform(0.0, 4.0, count)
        key[: int(crowd * count)] = 2.0 + rng.uniform(0.0, 1e-6, int(crowd * count))
        key[rng.integers(count, size=count // 4)] = key[0]
        key[-1] = 4.0
        assert in_turn(key).tolist() == np.argsort(key, kind="stable").tolist()
