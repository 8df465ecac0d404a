from __future__ import annotations

from typing import Any

from scoring.floor.corners import corners_seen, openings_seen
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard, thing, two_rooms


def place(drawn: Plan, **limits: Any) -> Place:
    return prepare(drawn, kit(), standard(**limits))


def stubs(where: Place, *stations: Any, space: str = "left") -> dict[tuple[float, float], int]:
    return {corner.at: corner.stubs for corner in corners_seen(where, stations).get((0, space), ())}


def test_all_corners_of_a_room_are_seen_from_its_middle() -> None:
    assert stubs(place(two_rooms()), at(2.0, 1.5)) == {(0, 0): 2, (4, 0): 2, (4, 3): 2, (0, 3): 2}


def test_corners_of_the_next_room_are_not_seen_through_the_wall() -> None:
    found = stubs(place(two_rooms()), at(1.0, 0.5), space="right")
    assert (found[4.12, 0], found[4.12, 3], found[8.12, 0]) == (0, 0, 0)
    assert found[8.12, 3] == 2  # through the door
    assert stubs(place(two_rooms()), space="right") == {(4.12, 0): 0, (8.12, 0): 0, (8.12, 3): 0, (4.12, 3): 0}


def test_half_a_corner_is_one_stub() -> None:
    # a board as high as the lens stands 9.5 cm out of the south wall: it hides that wall's stub, not the other
    board = thing("Board", "left", box(0.3, 0.0, 0.34, 0.095), 2.0)
    found = stubs(place(two_rooms(things=[board])), at(3.5, 1.0))
    assert found[0, 0] == 1


def test_a_wardrobe_in_a_corner_leaves_no_corner_to_see() -> None:
    wardrobe = thing("Wardrobe", "left", box(0, 0, 1, 0.6), 2.0)
    assert (0, 0) not in stubs(place(two_rooms(things=[wardrobe])), at(2.0, 1.5))


def test_a_corner_beyond_the_range_is_not_seen() -> None:
    assert stubs(place(two_rooms(), sight_range_m=1.0), at(0.8, 0.5))[0, 0] == 2
    assert stubs(place(two_rooms(), sight_range_m=1.0), at(1.8, 0.5))[0, 0] == 0


def test_where_two_areas_of_an_open_plan_meet_there_is_no_corner() -> None:
    spaces = [room("Left", box(0, 0, 4, 3)), room("Right", box(4, 0, 8, 3))]
    assert set(stubs(place(plan([level(spaces)])), at(2.0, 1.5))) == {(0, 0), (0, 3)}


def test_an_inward_corner_is_none() -> None:
    outline = ((0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6))
    found = stubs(place(plan([level([room("Left", outline)])])), at(1.0, 1.0))
    assert (2, 2) not in found
    assert len(found) == 5


def test_it_names_the_stations_that_see_each_opening() -> None:
    rooms = two_rooms().levels[0].spaces
    ways = [
        door("left", "right", ((4.06, 1.1), (4.06, 1.9))),
        door("left", "outside", ((0.5, -0.06), (1.5, -0.06)), "window", sill_m=0.9, head_m=2.0),
    ]
    found = openings_seen(place(plan([level(rooms, ways)])), [at(2.0, 1.5), at(6.0, 0.4), at(-9.0, 0.0)])
    assert [(one.opening, one.stations) for one in found] == [
        ("door-left-right", (0, 1)),
        ("window-left-outside", (0,)),
    ]
