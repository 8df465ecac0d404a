from __future__ import annotations

from scoring.floor.bound import anywhere
from scoring.floor.place import prepare
from tests.scoring.floor.small_plans import box, kit, level, plan, room, standard, straight_flight, two_rooms


def test_a_small_home_needs_one_at_least() -> None:
    assert anywhere(prepare(two_rooms(), kit(), standard()), {}) == 1


def test_every_level_needs_its_own() -> None:
    assert anywhere(prepare(straight_flight(), kit(), standard()), {}) == 2


def test_rooms_farther_apart_than_two_reaches_need_one_each() -> None:
    far = 2 * (8.0 + 0.1)
    rooms = [room(f"Room {i}", box(i * (3.01 + far), 0, i * (3.01 + far) + 3, 3)) for i in range(3)]
    assert anywhere(prepare(plan([level(rooms)]), kit(), standard()), {}) == 3


def test_rooms_just_within_two_reaches_may_share_one() -> None:
    far = 2 * (8.0 + 0.1)
    rooms = [room(f"Room {i}", box(i * (2.9 + far), 0, i * (2.9 + far) + 3, 3)) for i in range(2)]
    assert anywhere(prepare(plan([level(rooms)]), kit(), standard()), {}) == 1


def test_a_floor_that_need_not_be_shown_needs_none() -> None:
    rooms = [room("Near", box(0, 0, 3, 3)), room("Far", box(40, 0, 43, 3), cover=False)]
    assert anywhere(prepare(plan([level(rooms)]), kit(), standard()), {}) == 1
