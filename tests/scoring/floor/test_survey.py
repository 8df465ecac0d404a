from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from scoring.floor.findings import Survey
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan, Station
from scoring.floor.survey import survey
from scoring.floor.turn import moved
from tests.scoring.floor.small_plans import (
    Leaf,
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


def place(drawn: Plan, **limits: Any) -> Place:
    return prepare(drawn, kit(), standard(**limits))


def home() -> Plan:
    """Three rooms round a hall, furnished, with an open door leaf, a window and a yard behind."""
    spaces = [
        room("Hall", box(0, 0, 1.4, 6), "hall"),
        room("Living", box(1.52, 0, 6, 3.5)),
        room("Kitchen", box(1.52, 3.62, 6, 6), "kitchen"),
        room("Yard", box(6.2, 0, 12, 6), "yard"),
    ]
    openings = [
        door("hall", "living", ((1.46, 1.0), (1.46, 1.85)), leaf=Leaf(hinge=1, into="living", open_deg=90.0)),
        door("hall", "kitchen", ((1.46, 4.2), (1.46, 5.1)), "passage", head_m=2.1),
        door("living", "yard", ((6.1, 1.0), (6.1, 2.0)), depth_m=0.2, head_m=2.1),
        door("kitchen", "yard", ((6.1, 4.2), (6.1, 5.4)), "window", depth_m=0.2, sill_m=0.9, head_m=2.0),
    ]
    things = [
        thing("Sofa", "living", box(3.0, 0.1, 5.0, 1.0), 0.85, kind="sofa"),
        thing("Wardrobe", "living", box(1.6, 2.9, 3.0, 3.5), 2.0, kind="wardrobe"),
        thing("Counter", "kitchen", box(2.4, 5.4, 6.0, 6.0), 0.9, kind="counter"),
        thing("Wall cupboard", "kitchen", box(3.0, 5.65, 5.0, 6.0), 2.1, base_m=1.4, kind="wall-cupboard"),
    ]
    return plan([level(spaces, openings, things)])


SPOTS = st.lists(st.tuples(st.floats(0.05, 11.9), st.floats(0.05, 5.9)), min_size=1, max_size=5)


def close(a: float, b: float, tolerance: float) -> bool:
    return math.isclose(a, b, rel_tol=tolerance, abs_tol=tolerance)


def near_a_limit(found: Survey, where: Place) -> bool:
    """Whether some number of the survey lies so near its limit that rounding may decide."""
    standard, edge = where.standard, 1e-5
    e = standard.placement_error_m
    for one in found.links:
        limits = [standard.link_strip_m, standard.link_strip_m + 2 * e, 0.0]
        if one.clear_m > 0.0 and any(abs(one.clear_m - limit) < edge for limit in limits):
            return True
        lengths = [
            limit + s * 2 * e for limit in (standard.link_max_m, standard.link_max_outdoor_m) for s in (-1, 0, 1)
        ]
        if any(abs(one.length_m - limit) < edge for limit in lengths):
            return True
    return any(abs(cover.share + cover.slack - cover.target_share) < edge for cover in found.covers)


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(SPOTS, st.floats(-180.0, 180.0), st.floats(-50.0, 50.0), st.floats(-50.0, 50.0), st.booleans())
def test_turning_moving_and_mirroring_a_place_changes_no_finding(
    spots: list[tuple[float, float]], turn: float, dx: float, dy: float, mirror: bool
) -> None:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def move(point: tuple[float, float]) -> tuple[float, float]:
        x, y = (-point[0], point[1]) if mirror else point
        return (c * x - s * y + dx, s * x + c * y + dy)

    here = place(home())
    there = place(moved(home(), move, lambda angle: angle))
    before = survey(here, [at(*spot) for spot in spots], {})
    after = survey(there, [at(*move(spot)) for spot in spots], {})
    assume(not near_a_limit(before, here))
    for a, b in zip(before.covers, after.covers, strict=True):
        assert (a.space, a.holds, a.asked) == (b.space, b.holds, b.asked)
        assert close(a.floor_m2, b.floor_m2, 1e-6)
        assert close(a.seen_m2, b.seen_m2, 1e-4)
        assert close(a.twice_m2, b.twice_m2, 1e-4)
    assert [(one.a, one.b, one.holds) for one in before.links] == [(one.a, one.b, one.holds) for one in after.links]
    for p, q in zip(before.links, after.links, strict=True):
        assert close(p.clear_m, q.clear_m, 1e-6)
        assert close(p.length_m, q.length_m, 1e-9)
    assert before.islands == after.islands
    assert before.cut_stations == after.cut_stations


@settings(deadline=None, max_examples=20)
@given(SPOTS)
def test_renaming_a_place_and_listing_it_in_another_order_changes_no_finding(spots: list[tuple[float, float]]) -> None:
    drawn = home()
    storey = drawn.levels[0]
    new = {space.id: f"zone-{i}" for i, space in enumerate(storey.spaces)} | {"outside": "outside"}
    other = replace(
        storey,
        spaces=tuple(replace(s, id=new[s.id], name=f"Zone {s.id}") for s in storey.spaces)[::-1],
        openings=tuple(
            replace(
                o,
                id=f"way-{i}",
                between=(new[o.between[0]], new[o.between[1]]),
                leaf=None if o.leaf is None else replace(o.leaf, into=new[o.leaf.into]),
            )
            for i, o in enumerate(storey.openings)
        )[::-1],
        things=tuple(replace(t, space=new[t.space]) for t in storey.things)[::-1],
    )
    stations = [at(*spot) for spot in spots]
    before = survey(place(drawn), stations, {})
    after = survey(place(replace(drawn, entrance="zone-0", levels=(other,))), stations, {})
    named = {cover.space: cover for cover in after.covers}
    for a in before.covers:
        b = named[new[a.space]]
        assert close(a.seen_m2, b.seen_m2, 1e-6)
        assert close(a.twice_m2, b.twice_m2, 1e-6)
    assert before.islands == after.islands
    assert [one.allowed for one in before.stands] == [one.allowed for one in after.stands]


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 9), st.floats(-500, 500), st.floats(-500, 500)), max_size=4), SPOTS)
def test_any_finite_stations_give_a_whole_survey(wild: list[tuple[int, float, float]], spots: Any) -> None:
    stations = [Station(level=on, x=x, y=y) for on, x, y in wild] + [at(*spot) for spot in spots]
    found = survey(place(home()), stations, {})
    assert len(found.stands) == len(found.gain_m2) == len(stations)
    assert sorted(i for island in found.islands for i in island) == list(range(len(stations)))


def test_no_station_is_a_survey_too() -> None:
    found = survey(place(home()), [], {})
    assert found.islands == found.links == found.spare == ()
    assert all(cover.seen_m2 == 0.0 and not cover.holds for cover in found.covers)


def test_a_station_in_a_wall_shows_nothing_links_to_nothing_and_says_why() -> None:
    found = survey(place(two_rooms()), [at(2.0, 1.5), at(4.06, 0.4), at(6.0, 1.5)], {})
    assert found.gain_m2[1] == 0.0
    assert not any(link.holds for link in found.links if 1 in (link.a, link.b))
    assert found.stands[1].reasons[0].fault == "outside"
    assert found.islands == ((0, 2), (1,))


def test_the_one_station_that_joins_two_others_is_a_cut_station() -> None:
    l_hall = plan([level([room("Hall", ((0, 0), (5, 0), (5, 1.2), (1.2, 1.2), (1.2, 5), (0, 5)), "hall")])])
    found = survey(place(l_hall), [at(0.6, 4.4), at(0.6, 0.6), at(4.4, 0.6)], {})
    assert found.islands == ((0, 1, 2),)
    assert found.cut_stations == (1,)
    assert 1 not in found.spare


def test_two_stations_may_each_be_spare_and_not_both() -> None:
    found = survey(place(plan([level([room("Room", box(0, 0, 5, 4))])])), [at(1.5, 2.0), at(3.5, 2.0)], {})
    assert found.spare == (0, 1)
    assert len(found.spare_together) == 1


@pytest.mark.parametrize("seed", range(4))
def test_what_can_go_together_is_what_surveys_of_the_rest_allow(seed: int) -> None:
    """One after another, the least useful first: a survey of those that stay says whether it was too much."""
    rng = np.random.default_rng(seed)
    prepared = place(home())
    stations = [at(round(x, 2), round(y, 2)) for x, y in rng.uniform((0.1, 0.1), (11.9, 5.9), (12, 2))]
    whole = survey(prepared, stations, {})

    def allowed(gone: list[int]) -> bool:
        stay = [station for i, station in enumerate(stations) if i not in gone]
        rest = survey(prepared, stay, {})
        return len(rest.islands) <= len(whole.islands) and all(
            now.seen_m2 >= then.seen_m2 - prepared.standard.spare_loss_share * then.floor_m2 - 1e-7
            and (now.holds or not then.holds)
            for now, then in zip(rest.covers, whole.covers, strict=True)
            if then.asked
        )

    gone: list[int] = []
    for i in sorted(whole.spare, key=lambda i: (whole.gain_m2[i], i)):
        gone += [i] if allowed([*gone, i]) else []
    assert tuple(sorted(gone)) == whole.spare_together
    assert 2 <= len(gone) < len(stations)


def test_a_station_whose_loss_costs_a_room_its_target_is_not_spare() -> None:
    found = survey(place(two_rooms()), [at(2.0, 1.5), at(6.0, 1.5)], {})
    assert found.spare == ()
    assert min(found.gain_m2) > 5.0


def test_the_best_share_lowers_the_target_of_a_room_that_cannot_be_shown_whole() -> None:
    found = survey(place(two_rooms()), [at(2.0, 1.5)], {"0/right": 0.5})
    left, right = found.covers
    assert (left.target_share, left.best_share) == (0.9, 1.0)
    assert (right.target_share, right.best_share) == (pytest.approx(0.485), 0.5)


def test_unseen_floor_is_drawn_with_a_point_inside_its_largest_piece() -> None:
    wardrobe = thing("Wardrobe", "left", box(1.5, 1.0, 2.0, 2.0), 2.0)
    found = survey(place(two_rooms(things=[wardrobe])), [at(3.0, 1.5)], {})
    left = found.covers[0]
    assert left.worst_unseen is not None
    assert left.worst_unseen[0] < 1.5
    assert left.floor_m2 - left.seen_m2 > 1.0


def test_floor_that_is_not_asked_for_never_fails() -> None:
    spaces = [room("Living", box(0, 0, 4, 3)), room("Store", box(4.12, 0, 6, 3), "store", cover=False)]
    found = survey(place(plan([level(spaces)])), [at(2.0, 1.5)], {})
    assert [cover.holds for cover in found.covers] == [True, True]


def test_a_floor_that_a_small_move_would_bring_to_its_target_gets_the_benefit() -> None:
    wardrobe = thing("Wardrobe", "room", box(3.0, 0.0, 3.1, 2.0), 2.2)
    drawn = plan([level([room("Room", box(0, 0, 6, 4))], things=[wardrobe])])
    strict = survey(place(drawn, placement_error_m=0.0), [at(2.0, 3.0)], {})
    share = strict.covers[0].share
    limit = share + 0.004
    forgiving = survey(place(drawn, floor_share_min=limit), [at(2.0, 3.0)], {})
    exact = survey(place(drawn, floor_share_min=limit, placement_error_m=0.0), [at(2.0, 3.0)], {})
    assert forgiving.covers[0].holds
    assert forgiving.covers[0].slack >= 0.004
    assert not exact.covers[0].holds


def test_both_floors_of_a_house_join_over_its_flight() -> None:
    found = survey(place(straight_flight()), [at(2.0, 1.5), at(3.0 + 14 * 0.254 + 1.0, 1.5, 1)], {})
    assert found.islands == ((0, 1),)
    assert all(cover.holds for cover in found.covers)


def test_many_threads_asking_one_place_get_the_same_answers() -> None:
    where = place(home())
    stations = [at(0.7, 1.5), at(4.0, 2.0), at(4.0, 4.5), at(9.0, 3.0)]
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: survey(where, stations, {}), range(24)))
    assert all(answer == answers[0] for answer in answers)
    assert answers[0] == survey(place(home()), stations, {})


def test_a_station_in_a_doorway_sees_both_rooms_although_it_may_not_stand_there() -> None:
    found = survey(place(two_rooms()), [at(2.0, 1.5), at(4.06, 1.5), at(6.0, 1.5)], {})
    assert [reason.fault for reason in found.stands[1].reasons] == ["way-out"]
    assert found.islands == ((0, 1, 2),)
    assert min(cover.twice_m2 for cover in found.covers) > 11.0
