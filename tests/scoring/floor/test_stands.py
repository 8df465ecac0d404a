from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.floor.findings import Stand
from scoring.floor.footing import free_circle
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from scoring.floor.stands import stand
from tests.scoring.floor.small_plans import (
    Edge,
    Slope,
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

STRICT = standard(placement_error_m=0.0)


def place(drawn: Plan, limits: Any = STRICT) -> Place:
    return prepare(drawn, kit(), limits)


def one(*things: Any, use: Any = "living", edges: Any = (), **more: Any) -> Plan:
    return plan([level([room("Room", box(0, 0, 6, 6), use, **more)], things=things, edges=edges)])


def faults(found: Stand) -> list[str]:
    return [reason.fault for reason in found.reasons]


def test_the_middle_of_a_room_is_allowed() -> None:
    found = stand(place(one()), at(3.0, 3.0))
    assert found.allowed
    assert found.firm
    assert found.space == "room"
    assert found.clearance_m == pytest.approx(3.0)
    assert found.clearance_what == "a wall of the room"


def test_the_leg_circle_has_to_fit_beside_a_wall() -> None:
    found = stand(place(one()), at(0.4, 3.0))
    (reason,) = found.reasons
    assert (reason.fault, reason.what) == ("legs", "a wall of the room")
    assert (reason.value_m, reason.limit_m) == pytest.approx((0.4, 0.45))
    assert reason.at == pytest.approx((0.0, 3.0))


def test_it_names_the_thing_that_the_legs_would_touch() -> None:
    found = stand(place(one(thing("Dining table", "room", box(2, 2, 4, 4), 0.75))), at(1.8, 3.0))
    assert [(r.fault, r.what) for r in found.reasons] == [("legs", "the dining table")]
    assert found.clearance_what == "the dining table"


def test_no_tripod_stands_on_furniture() -> None:
    found = stand(place(one(thing("Bed", "room", box(2, 2, 4, 4), 0.5))), at(3.0, 3.0))
    assert faults(found) == ["outside"]
    assert found.reasons[0].what == "the bed"


def test_legs_may_reach_under_a_hanging_cupboard_but_the_head_may_not_touch_it() -> None:
    where = place(one(thing("Wall cupboard", "room", box(2, 5.6, 4, 6), 2.2, base_m=1.4)))
    assert stand(where, at(3.0, 5.4)).allowed
    found = stand(where, at(3.0, 5.53))
    assert [(r.fault, r.what) for r in found.reasons] == [("head-hits", "the wall cupboard")]
    assert found.reasons[0].value_m == pytest.approx(0.07)


def test_a_fan_or_beam_right_over_the_lens_takes_the_headroom() -> None:
    fan = thing("Ceiling fan", "room", box(2.5, 2.5, 3.5, 3.5), 2.0, base_m=1.7, kind="fan")
    found = stand(place(one(fan)), at(3.0, 3.0))
    assert [(r.fault, r.what) for r in found.reasons] == [("headroom", "the ceiling fan")]
    assert found.reasons[0].value_m == pytest.approx(0.2)
    assert stand(place(one(fan)), at(1.5, 3.0)).allowed


def test_a_sloped_ceiling_takes_the_headroom_where_it_comes_down() -> None:
    slope = Slope(at=(0.0, 0.0), height_m=1.0, fall_deg=45.0, toward_deg=180.0)
    where = place(one(slopes=(slope,)))
    found = stand(where, at(0.7, 3.0))
    assert faults(found) == ["headroom"]
    assert found.reasons[0].value_m == pytest.approx(0.2)
    assert stand(where, at(0.9, 3.0)).allowed


def test_a_doorway_is_the_way_out() -> None:
    found = stand(place(two_rooms()), at(4.06, 1.5))
    assert faults(found) == ["way-out"]
    assert found.reasons[0].what == "the doorway between the left and the right"
    assert found.space is None


@pytest.mark.parametrize("off", [0.2, 0.3, 0.4])
def test_the_threshold_stand_outside_a_door_is_allowed_when_the_legs_fit(off: float) -> None:
    small = kit(leg_circle_m=0.8)
    closet = [room("Hall", box(0, 0, 3, 3), "hall"), room("Closet", box(3.12, 1, 4.0, 2), "closet")]
    drawn = plan([level(closet, [door("hall", "closet", ((3.06, 1.1), (3.06, 1.9)))])])
    assert stand(prepare(drawn, small, STRICT), at(3.0 - off, 1.5)).allowed
    narrow = plan([level(closet, [door("hall", "closet", ((3.06, 1.2), (3.06, 1.8)))])])
    fits = off**2 + 0.3**2 >= 0.4**2
    assert stand(prepare(narrow, small, STRICT), at(3.0 - off, 1.5)).allowed == fits


@pytest.mark.parametrize("use", ["drive", "road", "pool"])
def test_no_tripod_stands_on_a_drive_a_road_or_in_a_pool(use: str) -> None:
    assert "no-stand-zone" in faults(stand(place(one(use=use)), at(3.0, 3.0)))


def test_an_unguarded_drop_keeps_the_tripod_off_and_a_guarded_one_does_not() -> None:
    for guarded, wanted in ((False, ["edge"]), (True, [])):
        drop = Edge(id="drop", name="Terrace edge", kind="drop", line=((6.0, 0.0), (6.0, 6.0)), guarded=guarded)
        found = stand(place(one(use="terrace", edges=(drop,))), at(4.5, 3.0))
        assert faults(found) == wanted
        if wanted:
            assert found.reasons[0].value_m == pytest.approx(1.5)
            assert found.reasons[0].what == "the terrace edge"


def pool_garden(*edges: Edge) -> Plan:
    spaces = [room("Yard", ((0, 0), (9, 0), (9, 3), (5, 3), (5, 6), (0, 6)), "yard")]
    spaces.append(room("Pool", box(5, 3, 9, 6), "pool", cover=False))
    return plan([level(spaces, edges=edges)])


def test_the_rim_of_a_pool_keeps_the_tripod_off() -> None:
    found = stand(place(pool_garden()), at(3.5, 4.5))
    assert "edge" in faults(found)
    assert found.reasons[-1].what == "the edge of the pool"
    assert stand(place(pool_garden()), at(2.5, 4.5)).allowed


def test_a_fence_along_the_rim_lifts_that() -> None:
    fences = [
        Edge(id="west", name="Pool fence", kind="water", line=((5.0, 3.0), (5.0, 6.0)), guarded=True),
        Edge(id="south", name="Pool fence", kind="water", line=((5.0, 3.0), (9.0, 3.0)), guarded=True),
    ]
    assert "edge" not in faults(stand(place(pool_garden(*fences)), at(3.5, 4.5)))


def test_an_edge_behind_a_wall_does_not_matter() -> None:
    drop = Edge(id="drop", name="Drop", kind="drop", line=((8.12, 0.0), (8.12, 3.0)), guarded=False)
    near = two_rooms(edges=(drop,))
    assert "edge" in faults(stand(place(near), at(6.5, 0.6)))
    wide = standard(placement_error_m=0.0, edge_keep_off_m=5.0)
    assert "edge" not in faults(stand(place(near, wide), at(3.4, 0.6)))


def test_no_tripod_stands_on_a_flight_or_over_its_well() -> None:
    where = place(straight_flight())
    for on in (0, 1):
        assert faults(stand(where, at(4.0, 1.5, on))) == ["on-flight"]


def test_the_leg_circle_keeps_off_the_foot_and_the_head_of_a_flight() -> None:
    where = place(straight_flight())
    end = 3.0 + 14 * 0.254
    for x, on, word in ((2.5, 0, "the foot of the flight"), (end + 0.5, 1, "the head of the flight")):
        found = stand(where, at(x, 1.5, on))
        assert [(r.fault, r.what) for r in found.reasons] == [("flight-end", word)]
        assert found.reasons[0].value_m == pytest.approx(0.05)
    assert stand(where, at(2.44, 1.5)).allowed


def test_a_step_between_two_floors_bounds_the_legs_like_a_wall() -> None:
    spaces = [room("High", box(0, 0, 4, 4), floor_m=0.4), room("Low", box(4, 0, 8, 4))]
    where = place(plan([level(spaces)]))
    found = stand(where, at(3.7, 2.0))
    assert [(r.fault, r.what) for r in found.reasons] == [("legs", "the step to the low")]


@pytest.mark.parametrize(
    ("x", "allowed", "firm"), [(0.34, False, True), (0.38, True, False), (0.5, True, False), (0.6, True, True)]
)
def test_a_stand_that_a_small_move_would_mend_gets_the_benefit(x: float, allowed: bool, firm: bool) -> None:
    found = stand(place(one(), standard()), at(x, 3.0))
    assert (found.allowed, found.firm) == (allowed, firm)


@pytest.mark.parametrize(
    ("y", "allowed", "firm"), [(3.0, False, True), (2.88, True, False), (2.78, True, False), (2.6, True, True)]
)
def test_a_small_move_out_from_under_a_beam_gets_the_benefit(y: float, allowed: bool, firm: bool) -> None:
    beam = thing("Beam", "room", box(0, 2.9, 6, 3.1), 2.3, base_m=1.55, kind="beam")
    found = stand(place(one(beam), standard()), at(3.0, y))
    assert (found.allowed, found.firm) == (allowed, firm)
    assert faults(found) == ([] if allowed else ["headroom"])


@pytest.mark.parametrize(
    ("x", "allowed", "firm"), [(0.62, False, True), (0.68, True, False), (0.84, True, False), (0.9, True, True)]
)
def test_under_a_steep_ceiling_the_benefit_is_a_move_along_the_floor(x: float, allowed: bool, firm: bool) -> None:
    slope = Slope(at=(0.0, 0.0), height_m=0.5, fall_deg=60.0, toward_deg=180.0)
    found = stand(place(one(slopes=(slope,)), standard()), at(x, 3.0))
    assert (found.allowed, found.firm) == (allowed, firm)


def test_under_several_things_the_lowest_is_named() -> None:
    lamp = thing("Lamp", "room", box(2.8, 2.8, 3.2, 3.2), 1.7, base_m=1.6, kind="lamp")
    beam = thing("Beam", "room", box(0, 2.9, 6, 3.1), 2.3, base_m=1.75, kind="beam")
    found = stand(place(one(beam, lamp)), at(3.0, 3.0))
    assert [(r.fault, r.what) for r in found.reasons] == [("headroom", "the lamp")]
    assert found.reasons[0].value_m == pytest.approx(0.1)


def test_a_corridor_too_narrow_for_the_legs_gets_no_benefit() -> None:
    corridor = plan([level([room("Corridor", box(0, 0, 8, 0.84), "hall")])])
    found = stand(place(corridor, standard()), at(4.0, 0.42))
    assert faults(found) == ["legs"]


def test_free_circle_is_the_largest_that_fits_beside_the_things() -> None:
    where = place(one(thing("Bath", "room", box(0, 0, 2, 6), 0.6)))
    radius, centre = free_circle(where, 0, "room")
    assert radius == pytest.approx(2.0, abs=2e-3)
    assert centre[0] == pytest.approx(4.0, abs=0.01)


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 9), st.floats(-500, 500) | st.floats(-1, 9), st.floats(-500, 500) | st.floats(-1, 4))
def test_any_coordinates_give_a_stand(on: int, x: float, y: float) -> None:
    drop = Edge(id="drop", name="Drop", kind="drop", line=((8.12, 0.0), (8.12, 3.0)), guarded=False)
    where = place(two_rooms(edges=(drop,), things=[thing("Table", "left", box(1, 1, 2, 2), 0.7)]), standard())
    found = stand(where, at(x, y, on))
    assert found.allowed or found.reasons
    assert found.space is not None or not found.allowed


def test_a_flight_behind_a_wall_is_no_way_even_close_by() -> None:
    # the foot's edge is 0.5 m away, through the wall between
    hall = room("Hall", box(0, 0, 3, 1.9), "hall")
    closet = room("Closet", box(1.5, 2.1, 3.5, 4), "closet")
    drawn = straight_flight()
    where = place(plan([level([hall, closet]), drawn.levels[1]], drawn.flights))
    assert "flight-end" not in faults(stand(where, at(2.95, 2.47)))


def test_a_circle_that_just_fits_is_allowed_whatever_rounding_does() -> None:
    where = place(one())
    assert all(stand(where, at(6.0 - 0.45, 0.45 + 0.1 * i)).allowed for i in range(20))
