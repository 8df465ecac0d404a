from __future__ import annotations

import pytest

from scoring.floor.place import Place, prepare
from scoring.kinds import rooms
from scoring.kinds.door_line import offset, span, zone_m
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard


def hall_and_closet(leg_circle_m: float) -> Place:
    """A closet behind a door of 0.80 m."""
    spaces = [room("Hall", box(0, 0, 3, 3), "hall"), room("Closet", box(3.12, 1, 4.1, 2), "closet")]
    drawn = plan([level(spaces, [door("hall", "closet", ((3.06, 1.1), (3.06, 1.9)))])])
    return prepare(drawn, kit(leg_circle_m=leg_circle_m), standard())


def test_distance_counts_from_the_outer_face_of_the_wall() -> None:
    found = offset(hall_and_closet(0.9), 0, "closet", at(2.7, 1.4))
    assert found is not None
    assert (found.out_m, found.aside_m) == pytest.approx((0.3, 0.1))


@pytest.mark.parametrize(("leg_circle_m", "zone"), [(0.8, (0.2, 0.4)), (0.9, (0.25, 0.4)), (1.1, (0.4, 0.4))])
def test_the_zone_begins_where_the_legs_fit_before_the_jambs(leg_circle_m: float, zone: tuple[float, float]) -> None:
    assert zone_m(hall_and_closet(leg_circle_m), 0, "closet") == pytest.approx(zone)


def test_a_zone_is_told_as_a_range_or_as_one_distance() -> None:
    assert span((0.2, 0.4)) == "0.20 m to 0.40 m"
    assert span((0.4, 0.4)) == "0.40 m"


@pytest.mark.parametrize(
    ("leg_circle_m", "words"),
    [
        (0.9, "Take it from 0.25 m to 0.40 m outside its door, on the axis"),
        (1.3, "Take it from outside its door, as near as the legs fit"),
    ],
)
def test_a_tiny_room_is_taken_from_where_the_legs_fit(leg_circle_m: float, words: str) -> None:
    place = hall_and_closet(leg_circle_m)
    (mark,) = rooms.tiny_marks(place, [], [], [], rooms.circles(place), 0.05)
    assert mark.mend.startswith(words)
