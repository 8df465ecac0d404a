"""What dresses rooms and lies outside: nothing in the way, everything where such a thing is."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from scoring.floor.plan import ObjectKind
from scoring.frame.dress import SKIRTING_M, spans
from scoring.frame.furnish import BUILDERS
from scoring.frame.outside import STOREY_M, ground_m
from scoring.frame.roof import EAVES_M, PITCH_DEG, put_roof
from scoring.frame.solids import COUNTED, FAR, FLOOR, GROUND, TRIM, Pile, box_of
from scoring.frame.trace import first_hits
from tests.scoring.frame.floor_hits import FLOORS, place_of, scene_of_floor


def test_spans_are_the_stretches_that_a_wall_fills_between_two_heights() -> None:
    wall = shapely.box(0.0, 0.0, 5.0, 2.5).difference(shapely.box(1.0, 0.0, 2.0, 2.0))
    assert spans(wall, 0.0, 0.1, 5.0) == [pytest.approx((0.0, 1.0)), pytest.approx((2.0, 5.0))]
    assert spans(wall, 2.1, 2.3, 5.0) == [pytest.approx((0.0, 5.0))]
    assert spans(wall, 2.3, 2.6, 5.0) == []


@pytest.mark.parametrize("name", FLOORS)
def test_nothing_far_stands_on_a_space_and_trim_keeps_to_walls_and_ceilings(name: str) -> None:
    place = place_of(name)
    scene = scene_of_floor(name, 0)
    drawn = shapely.union_all([room.polygon for storey in place.storeys for room in storey.rooms])
    far = (scene.part == FAR) & (scene.size_m.max(axis=1) < 50.0)
    assert not shapely.contains_xy(drawn, scene.corner[far, 0], scene.corner[far, 1]).any()
    assert not (scene.seen[(scene.part == TRIM) | (scene.part == GROUND)] & np.uint32(COUNTED)).any()


def test_the_ground_is_no_floor_of_a_room() -> None:
    place = place_of("split-level")
    scene = scene_of_floor("split-level", 0)
    for room in place.storeys[0].rooms:
        spot = room.polygon.representative_point()
        down = np.array([[0.0, 0.0, -1.0]])
        faces, _ = first_hits(scene, np.array([spot.x, spot.y, room.floor + 0.03]), down, 1)
        assert scene.part[faces[0]] == FLOOR, room.space.id


def test_a_flat_stands_as_high_over_the_ground_as_its_level_is_called() -> None:
    assert ground_m(place_of("mirror-flat").plan) == pytest.approx(-3 * STOREY_M - 0.02)
    assert ground_m(place_of("studio").plan) == pytest.approx(-0.02)
    assert ground_m(place_of("great-house").plan) == pytest.approx(-0.02)


def test_a_skirting_takes_less_than_a_hundredth_of_a_small_room() -> None:
    assert SKIRTING_M[0] * 2.0 * (2.0 + 2.0) < 0.0125 * 2.0 * 2.0


def test_a_roof_is_hipped_over_a_rectangle_and_flat_over_an_angle() -> None:
    pile = Pile()
    put_roof(pile, box_of(0.0, 0.0, 10.0, 6.0), 3.0, 1)
    tops = [corner[2] + face.v[2] * face.size_m[1] for face in pile.faces for corner in (face.corner,)]
    rise = 0.5 * (6.0 + 2.0 * EAVES_M) * math.tan(math.radians(PITCH_DEG))
    assert max(tops) == pytest.approx(3.12 + rise)
    angle = Pile()
    put_roof(angle, box_of(0.0, 0.0, 10.0, 3.0).union(box_of(0.0, 0.0, 3.0, 10.0)), 3.0, 1)
    assert max(face.corner[2] for face in angle.faces) < 3.3


def test_every_kind_of_thing_has_its_looks() -> None:
    assert set(BUILDERS) == set(ObjectKind.__args__)  # type: ignore[attr-defined]
