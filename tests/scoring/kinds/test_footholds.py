from __future__ import annotations

from scoring.floor.footing import from_door_line
from scoring.floor.place import Place, prepare
from scoring.floor.stands import stand
from scoring.kinds.footholds import nearest_allowed
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard


def hall_and_closet() -> Place:
    """A closet in which the legs fit though it is taken from its door line, beside a hall."""
    rooms = [room("Hall", box(0, 0, 3, 3), "hall"), room("Closet", box(3.12, 0.5, 4.28, 2.5), "closet")]
    return prepare(plan([level(rooms, [door("hall", "closet", ((3.06, 1.1), (3.06, 1.9)))])]), kit(), standard())


def test_nobody_is_sent_into_a_room_that_is_taken_from_its_door_line() -> None:
    place = hall_and_closet()
    assert from_door_line(place, 0, "closet")
    assert stand(place, at(3.7, 1.5)).allowed
    for station in (at(3.3, 0.6), at(3.15, 1.5), at(4.2, 2.4), at(3.06, 1.5)):
        assert not stand(place, station).allowed
        better = nearest_allowed(place, station)
        assert better is None or stand(place, better).space == "hall", station


def test_a_stand_that_is_refused_in_a_room_to_stand_in_is_moved_within_it() -> None:
    place = hall_and_closet()
    better = nearest_allowed(place, at(0.2, 1.5))
    assert better is not None
    assert stand(place, better).space == "hall"
