from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.floor.cover import floor_m2, floor_seen, target_share
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from scoring.floor.survey import survey
from tests.scoring.floor.small_plans import Slope, at, box, door, kit, level, plan, room, standard, thing, two_rooms

FAR = standard(sight_range_m=50.0, sight_range_outdoor_m=60.0, floor_grazing_min_deg=1.0)


def place(drawn: Plan, limits: Any = FAR) -> Place:
    return prepare(drawn, kit(), limits)


def hall(*things: Any, **more: Any) -> Plan:
    """A room of 10 m by 6 m."""
    return plan([level([room("Room", box(0, 0, 10, 6), **more)], things=things)])


def seen(where: Place, x: float, y: float, space: str = "room", on: int = 0) -> float:
    part = floor_seen(where, at(x, y, on)).get((on, space))
    return 0.0 if part is None else float(part.area)


def test_it_sees_the_whole_floor_of_an_empty_room() -> None:
    assert seen(place(hall()), 1.0, 3.0) == pytest.approx(60.0, abs=1e-9)


def test_a_low_table_hides_what_its_outline_sweeps() -> None:
    # lens 1.5 m, table 0.75 m: the far outline is twice as far; hull of outline and its double is 7 m2
    where = place(hall(thing("Table", "room", box(3, 2.5, 4, 3.5), 0.75)))
    assert floor_m2(where, 0, "room") == pytest.approx(59.0)
    assert seen(where, 1.0, 3.0) == pytest.approx(53.0, abs=1e-6)


def test_a_thing_taken_apart_hides_the_same_as_one_outline() -> None:
    l_desk = ((3, 2), (5, 2), (5, 2.6), (3.6, 2.6), (3.6, 4), (3, 4))
    halves = [
        thing("Desk one", "room", box(3, 2, 5, 2.6), 0.75),
        thing("Desk two", "room", box(3, 2.6, 3.6, 4), 0.75),
    ]
    whole = place(hall(thing("Desk", "room", l_desk, 0.75)))
    parts = place(hall(*halves))
    assert seen(whole, 1.0, 1.0) == pytest.approx(seen(parts, 1.0, 1.0), abs=1e-6)


def test_a_wardrobe_hides_all_behind_it() -> None:
    # a cone of slope 1/4 from its near face, 2 m off, to the far wall 9 m off
    where = place(hall(thing("Wardrobe", "room", box(3, 2.5, 4, 3.5), 2.0)))
    assert seen(where, 1.0, 3.0) == pytest.approx(60.0 - 7.0 * (1.0 + 4.5) / 2.0, abs=1e-6)


def test_a_hanging_cupboard_hides_what_lies_behind_its_lower_rim() -> None:
    # base 0.75 m: the shadow starts at twice the distance and has no end; the floor below stays floor
    where = place(hall(thing("Cupboard", "room", box(3, 2.5, 4, 3.5), 2.2, base_m=0.75)))
    assert seen(where, 1.0, 3.0) == pytest.approx(60.0 - 5.0 * (2.0 + 4.5) / 2.0, abs=1e-6)


def test_a_lamp_over_the_lens_hides_nothing() -> None:
    where = place(hall(thing("Lamp", "room", box(3, 2.5, 4, 3.5), 2.2, base_m=1.8)))
    assert seen(where, 1.0, 3.0) == pytest.approx(60.0, abs=1e-9)


@pytest.mark.parametrize(("base", "floor"), [(0.29, 59.0), (0.3, 60.0)])
def test_no_floor_is_counted_under_a_thing_that_hangs_too_low(base: float, floor: float) -> None:
    where = place(hall(thing("Shelf", "room", box(3, 2.5, 4, 3.5), 0.5, base_m=base)))
    assert floor_m2(where, 0, "room") == pytest.approx(floor)


def test_floor_farther_than_the_range_is_not_seen() -> None:
    where = place(hall(), standard(sight_range_m=2.5))
    assert seen(where, 5.0, 3.0) == pytest.approx(math.pi * 2.5**2, rel=1e-8)


def test_floor_met_too_flat_is_not_seen() -> None:
    where = place(hall(), standard(floor_grazing_min_deg=35.0))
    assert seen(where, 5.0, 3.0) == pytest.approx(math.pi * (1.5 / math.tan(math.radians(35.0))) ** 2, rel=1e-8)


def test_the_range_is_longer_outdoors() -> None:
    yard = plan([level([room("Yard", box(-20, -20, 20, 20), "yard")])])
    limits = standard(sight_range_outdoor_m=9.0)
    assert seen(place(yard, limits), 0.0, 0.0, "yard") == pytest.approx(math.pi * 81.0, rel=1e-8)


@pytest.mark.parametrize(
    ("kind", "more", "counts"),
    [
        ("window", {"sill_m": 0.9, "head_m": 2.0}, False),
        ("glass", {"head_m": 2.4}, True),
        ("passage", {"head_m": 2.1}, True),
        ("door", {"head_m": 2.0}, True),
    ],
)
def test_floor_counts_through_a_door_a_passage_and_glass_but_not_over_a_sill(
    kind: str, more: dict[str, float], counts: bool
) -> None:
    rooms = [room("Left", box(0, 0, 4, 3)), room("Right", box(4.12, 0, 8.12, 3))]
    where = place(plan([level(rooms, [door("left", "right", ((4.06, 1.0), (4.06, 2.0)), kind, **more)])]))
    assert (seen(where, 2.0, 1.5, "right") > 1.0) == counts


def test_it_sees_nothing_from_a_wall_from_inside_a_wardrobe_or_off_the_plan() -> None:
    where = place(two_rooms(things=[thing("Wardrobe", "left", box(0, 0, 1, 1), 2.0)]))
    for x, y in ((4.06, 0.5), (0.5, 0.5), (-5.0, 100.0), (0.0, 1.5)):
        assert floor_seen(where, at(x, y)) == {}
    assert floor_seen(where, at(2.0, 1.5, 7)) == {}


def test_the_floor_under_a_slope_is_seen_although_the_lens_would_not_fit_there() -> None:
    slope = Slope(at=(0.0, 0.0), height_m=0.5, fall_deg=45.0, toward_deg=180.0)
    assert seen(place(hall(slopes=(slope,))), 5.0, 3.0) == pytest.approx(60.0, abs=1e-9)


def test_a_step_down_hides_a_strip_of_the_lower_floor() -> None:
    # 2 m behind a step of 0.5 m: the lens is 2.0 m over the lower floor, hidden out to 2 * 2.0 / 1.5 from the lens
    spaces = [room("High", box(0, 0, 4, 3), floor_m=0.5), room("Low", box(4, 0, 9, 3))]
    where = place(plan([level(spaces, ceiling_m=3.0)]))
    assert seen(where, 2.0, 1.5, "low") == pytest.approx(15.0 - 3.0 * (2.0 * 2.0 / 1.5 - 2.0), abs=1e-6)
    assert seen(where, 6.0, 1.5, "high") == pytest.approx(12.0, abs=1e-6)


def test_a_low_sill_in_a_door_hides_only_the_strip_behind_it() -> None:
    rooms = [room("Left", box(0, 0, 4, 3)), room("Right", box(4.12, 0, 8.12, 3))]
    flat, raised = (
        place(plan([level(rooms, [door("left", "right", ((4.06, 1.0), (4.06, 2.0)), sill_m=sill)])]))
        for sill in (0.0, 0.05)
    )
    without, behind = seen(flat, 2.0, 1.5, "right"), seen(raised, 2.0, 1.5, "right")
    assert without - 0.3 < behind < without


def test_the_target_is_the_lesser_of_the_standard_and_most_of_the_best() -> None:
    where = place(two_rooms(), standard())
    indoors = where.storeys[0].rooms[0]
    assert target_share(where, indoors, 1.0) == 0.9
    assert target_share(where, indoors, 0.8) == pytest.approx(0.776)
    yard = place(plan([level([room("Yard", box(0, 0, 9, 9), "yard")])]), standard())
    assert target_share(yard, yard.storeys[0].rooms[0], 1.0) == 0.5


FURNISHED = two_rooms(
    things=[
        thing("Table", "left", box(1.5, 1.0, 2.5, 2.0), 0.75),
        thing("Sofa", "right", box(5.0, 0.2, 7.0, 1.0), 0.8),
        thing("Tall shelf", "right", box(6.0, 1.8, 6.4, 2.6), 1.9),
    ]
)
INDOORS = st.tuples(st.floats(0.1, 8.0), st.floats(0.1, 2.9))


@settings(deadline=None, max_examples=40)
@given(st.lists(INDOORS, min_size=1, max_size=4), INDOORS)
def test_one_more_station_never_lowers_the_floor_seen(spots: list[tuple[float, float]], extra: Any) -> None:
    where = place(FURNISHED, standard())
    before = survey(where, [at(*spot) for spot in spots], {})
    after = survey(where, [at(*spot) for spot in [*spots, extra]], {})
    for a, b in zip(before.covers, after.covers, strict=True):
        assert b.seen_m2 >= a.seen_m2 - 1e-6
        assert b.twice_m2 >= a.twice_m2 - 1e-6


@settings(deadline=None, max_examples=40)
@given(st.tuples(st.floats(0.1, 3.9), INDOORS), st.floats(0.3, 0.9), st.floats(0.3, 2.2))
def test_one_more_thing_never_raises_the_floor_seen(
    spots: tuple[float, tuple[float, float]], size: float, height: float
) -> None:
    x, spot = spots
    extra = thing("Box", "left", box(min(x, 3.9 - size), 0.5, min(x, 3.9 - size) + size, 0.5 + size), height)
    before = floor_seen(place(two_rooms()), at(*spot))
    after = floor_seen(place(two_rooms(things=[extra])), at(*spot))
    for key, part in after.items():
        assert part.area <= before[key].area + 1e-6


@settings(deadline=None, max_examples=40)
@given(st.lists(INDOORS, min_size=1, max_size=5))
def test_floor_by_depth_adds_up_to_what_the_stations_see(spots: list[tuple[float, float]]) -> None:
    where = place(FURNISHED, standard())
    stations = [at(*spot) for spot in spots]
    found = survey(where, stations, {})
    singles = [floor_seen(where, station) for station in stations]
    for cover in found.covers:
        parts = [single[cover.level, cover.space].area for single in singles if (cover.level, cover.space) in single]
        assert cover.seen_m2 <= cover.floor_m2 + 1e-6
        assert max(parts, default=0.0) - 1e-6 <= cover.seen_m2 <= sum(parts) + 1e-6
        if len(parts) <= 2:
            assert cover.seen_m2 + cover.twice_m2 == pytest.approx(sum(parts), abs=1e-6)
    every = sum(cover.seen_m2 - cover.twice_m2 for cover in found.covers)
    assert sum(found.gain_m2) == pytest.approx(every, abs=1e-5)
