from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scoring.floor.link_table import link_table
from scoring.floor.links import link, links
from scoring.floor.place import Place, prepare
from tests.scoring.floor.small_plans import Leaf, at, box, door, kit, level, plan, room, standard, thing, two_rooms


def place(drawn: Any = None, **limits: Any) -> Place:
    return prepare(drawn or two_rooms(), kit(), standard(**limits))


def long_room(length: float, use: Any = "living") -> Any:
    return plan([level([room("Room", box(0, 0, length, 4), use)])])


def test_a_straight_line_through_a_door_has_the_doors_clear_width() -> None:
    found = link(place(), at(3.0, 1.5), at(5.0, 1.5))
    assert found.clear_m == pytest.approx(0.8)
    assert found.length_m == pytest.approx(2.0)
    assert found.holds
    assert found.firm


def test_a_wall_between_blocks_and_says_where() -> None:
    found = link(place(), at(1.0, 0.5), at(7.0, 0.5))
    assert (found.fault, found.clear_m, found.holds, found.firm) == ("blocked", 0.0, False, True)
    assert found.fault_at == pytest.approx((4.0, 0.5))


def test_a_strip_too_narrow_names_the_jamb() -> None:
    found = link(place(placement_error_m=0.0), at(3.0, 1.15), at(5.0, 1.15))
    assert found.fault == "narrow"
    assert found.clear_m == pytest.approx(0.1)
    assert found.fault_at == pytest.approx((4.0, 1.1)) or found.fault_at == pytest.approx((4.12, 1.1))


def test_a_link_may_be_longer_outdoors() -> None:
    a, b = at(1.0, 2.0), at(10.0, 2.0)
    assert link(place(long_room(12.0), placement_error_m=0.0), a, b).fault == "long"
    assert link(place(long_room(12.0, "yard"), placement_error_m=0.0), a, b).fault is None


def test_a_narrow_link_gets_the_benefit_when_a_small_move_mends_it() -> None:
    # 10 cm to the side of where the strip is just wide enough
    found = link(place(), at(3.0, 1.22), at(5.0, 1.22))
    assert (found.fault, found.benefit, found.holds, found.firm) == ("narrow", True, True, False)


def test_a_narrow_way_gets_no_benefit_when_no_small_move_can_mend_it() -> None:
    slit = two_rooms()
    tight = door("left", "right", ((4.06, 1.35), (4.06, 1.65)))
    slit = plan([level(slit.levels[0].spaces, [tight])])
    found = link(place(slit), at(3.0, 1.5), at(5.0, 1.5))
    assert (found.fault, found.benefit, found.holds) == ("narrow", False, False)


def test_a_long_link_gets_the_benefit_within_both_ends_errors() -> None:
    where = place(long_room(12.0))
    assert link(where, at(1.0, 2.0), at(9.15, 2.0)).benefit
    assert not link(where, at(1.0, 2.0), at(9.25, 2.0)).benefit


def test_a_link_is_firm_only_with_the_error_to_spare_on_width_and_length() -> None:
    where = place(long_room(12.0))
    assert link(where, at(1.0, 2.0), at(8.79, 2.0)).firm
    assert not link(where, at(1.0, 2.0), at(8.81, 2.0)).firm
    assert link(where, at(1.0, 0.31), at(4.0, 0.31)).firm
    assert not link(where, at(1.0, 0.29), at(4.0, 0.29)).firm


def test_a_window_and_a_pane_carry_no_link() -> None:
    for kind in ("window", "glass"):
        rooms = two_rooms().levels[0].spaces
        drawn = plan([level(rooms, [door("left", "right", ((4.06, 1.1), (4.06, 1.9)), kind, head_m=2.3)])])
        assert link(place(drawn), at(3.0, 1.5), at(5.0, 1.5)).fault == "blocked"


def test_a_leaf_in_the_way_blocks_and_an_open_one_narrows_the_door_by_its_thickness() -> None:
    rooms = two_rooms().levels[0].spaces
    for open_deg, clear in ((0.0, 0.0), (90.0, 0.8 - 2 * 0.04)):
        leaf = Leaf(hinge=0, into="right", open_deg=open_deg)
        drawn = plan([level(rooms, [door("left", "right", ((4.06, 1.1), (4.06, 1.9)), leaf=leaf)])])
        assert link(place(drawn), at(3.0, 1.5), at(6.0, 1.5)).clear_m == pytest.approx(clear, abs=1e-6)


def test_low_furniture_lets_the_sight_pass_and_a_wardrobe_does_not() -> None:
    for height, fault in ((0.75, None), (2.0, "blocked")):
        drawn = two_rooms(things=[thing("Thing", "left", box(1.5, 1.0, 2.0, 2.0), height)])
        assert link(place(drawn), at(0.6, 1.5), at(3.0, 1.5)).fault == fault


def test_two_stations_on_one_spot_are_linked() -> None:
    assert link(place(), at(2.0, 1.5), at(2.0, 1.5)).holds


def test_a_station_in_a_wall_or_off_the_plan_links_to_nothing() -> None:
    for bad in (at(4.06, 0.2), at(-30.0, 4.0), at(1.0, 1.0, 5)):
        assert not any(found.holds for found in links(place(), [bad, at(2.0, 1.5), at(3.0, 1.5)]) if found.a == 0)


def test_a_link_is_the_same_both_ways() -> None:
    a, b = at(2.7, 1.3), at(6.1, 1.8)
    there, back = link(place(), a, b), link(place(), b, a)
    assert (there.length_m, there.clear_m, there.fault) == pytest.approx((back.length_m, back.clear_m, back.fault))


@pytest.mark.parametrize("firm", [False, True])
def test_the_table_of_many_stations_agrees_with_one_link_at_a_time(firm: bool) -> None:
    where = place()
    rng = np.random.default_rng(4)
    stations = [at(float(x), float(y)) for x, y in rng.uniform((0.1, 0.1), (8.0, 2.9), (25, 2))]
    table = link_table(where, stations, firm=firm)
    assert np.array_equal(table, table.T)
    for i, a in enumerate(stations):
        for j in range(i + 1, len(stations)):
            found = link(where, a, stations[j])
            assert bool(table[i, j]) == (found.fault is None and (found.firm or not firm))
