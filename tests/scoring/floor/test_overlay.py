from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import GeometryCollection, LineString, MultiPolygon, Point, Polygon, box

from scoring.floor.overlay import areal, join, join_apart, less, meet, meet_and_join, without_hairs

ROOM = box(0.0, 0.0, 4.0, 3.0)


def test_only_areas_are_kept() -> None:
    mixed = GeometryCollection([box(0, 0, 1, 1), LineString([(0, 0), (5, 5)]), Point(7, 7)])
    assert areal(mixed).area == pytest.approx(1.0)
    assert areal(GeometryCollection([LineString([(0, 0), (1, 0)])])).is_empty
    assert isinstance(areal(MultiPolygon([box(0, 0, 1, 1)])), MultiPolygon)


def test_regions_that_only_touch_share_nothing() -> None:
    assert meet(ROOM, box(4.0, 0.0, 5.0, 3.0)).area == 0.0


def test_nothing_joined_is_nothing() -> None:
    assert join([]).is_empty
    assert join([ROOM]) is ROOM


def test_spikes_and_slivers_are_taken_off_and_corners_left() -> None:
    spiked = Polygon([(0, 0), (4, 0), (4, 1), (6, 1), (4, 1 + 1e-7), (4, 3), (0, 3)])
    clean = without_hairs(spiked)
    assert clean.area == pytest.approx(12.0, abs=1e-6)
    assert clean.bounds == pytest.approx((0.0, 0.0, 4.0, 3.0), abs=1e-6)


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 100_000), st.floats(-180.0, 180.0))
def test_shares_rests_and_unions_add_up_although_walls_lie_a_hair_apart(seed: int, turn: float) -> None:
    """Pieces cut from one turned room share its walls up to rounding: the case that goes wrong without checks."""
    rng = np.random.default_rng(seed)
    room = affinity.rotate(ROOM, turn, origin=(7.0, -3.0))
    parts = []
    for _ in range(3):
        angle, (x, y) = rng.uniform(0.0, math.tau), rng.uniform((0.5, 0.5), (3.5, 2.5))
        dx, dy = 9.0 * math.cos(angle), 9.0 * math.sin(angle)
        half = Polygon([(x - dx, y - dy), (x + dx, y + dy), (x + dx - dy, y + dy + dx), (x - dx - dy, y - dy + dx)])
        parts.append(meet(room, affinity.rotate(half, turn, origin=(7.0, -3.0))))
    a, b, c = parts
    both, whole = meet_and_join(a, b)
    assert both.area + whole.area == pytest.approx(a.area + b.area, abs=1e-7)
    assert less(a, b).area == pytest.approx(a.area - both.area, abs=1e-7)
    every = join([a, b, c])
    assert every.area == pytest.approx(whole.area + less(c, whole).area, abs=1e-7)
    assert join_apart([a, b, c]).area == pytest.approx(every.area, abs=1e-7)
    assert shapely.difference(every, room.buffer(1e-7)).area == 0.0
