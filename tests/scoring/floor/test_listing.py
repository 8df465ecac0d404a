from __future__ import annotations

from scoring.floor.listing import list_hash, listed_stands
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from scoring.floor.stands import stand
from tests.scoring.floor.small_plans import (
    at,
    box,
    door,
    kit,
    level,
    plan,
    room,
    standard,
    straight_flight,
    thing,
    two_rooms,
)


def place(drawn: Plan) -> Place:
    return prepare(drawn, kit(), standard())


def test_every_listed_stand_is_allowed_without_the_benefit_of_the_error() -> None:
    here = place(two_rooms(things=[thing("Table", "left", box(1.5, 1.0, 2.5, 1.8), 0.75)]))
    stands = listed_stands(here)
    assert stands
    assert all(stand(here, s).allowed for s in stands)
    assert all(stand(here, s).clearance_m >= here.kit.leg_radius_m for s in stands)


def test_a_small_home_still_gets_four_hundred_by_a_finer_grid() -> None:
    assert 400 <= len(listed_stands(place(two_rooms()))) <= 520


def test_the_list_is_the_same_for_the_same_place() -> None:
    first, second = listed_stands(place(two_rooms())), listed_stands(place(two_rooms()))
    assert first == second
    assert list_hash(first) == list_hash(second)


def test_another_spacing_is_another_list() -> None:
    here = place(two_rooms())
    coarse, fine = listed_stands(here, 0.8), listed_stands(here, 0.5)
    assert len(coarse) < len(fine)
    assert list_hash(coarse) != list_hash(fine)


def test_it_aims_for_as_many_as_it_is_asked_for() -> None:
    assert 120 <= len(listed_stands(place(two_rooms()), target_stands=120)) <= 170


def test_a_tiny_room_has_stands_on_its_door_axis_outside() -> None:
    spaces = [room("Hall", box(0, 0, 4, 1.6), "hall"), room("Closet", box(1.6, 1.72, 2.4, 2.5), "closet")]
    here = place(plan([level(spaces, [door("hall", "closet", ((1.65, 1.66), (2.35, 1.66)))])]))
    face = 1.6
    on_axis = [s for s in listed_stands(here, 0.7) if abs(s.x - 2.0) < 1e-9 and s.y < face]
    limits = here.standard
    assert any(limits.threshold_min_m <= face - s.y <= limits.threshold_max_m for s in on_axis)


def test_flights_have_stands_at_foot_and_head_and_none_on_the_treads() -> None:
    here = place(straight_flight())
    stands = listed_stands(here, 0.9)
    legs = here.kit.leg_radius_m + here.standard.flight_keep_off_m
    end = 3.0 + 14 * 0.254
    assert any(s.level == 0 and abs(3.0 - s.x - legs) < 0.2 and 1.0 <= s.y <= 2.0 for s in stands)
    assert any(s.level == 1 and abs(s.x - end - legs) < 0.2 and 1.0 <= s.y <= 2.0 for s in stands)
    assert not any(3.0 < s.x < end for s in stands)


def test_spots_are_rounded_to_a_millimetre() -> None:
    assert all(s == at(round(s.x, 3), round(s.y, 3), s.level) for s in listed_stands(place(two_rooms())))
