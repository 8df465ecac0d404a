from __future__ import annotations

from typing import Any

import pytest
from shapely.geometry import Point

from scoring.floor.bands import band, walls, welded
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from scoring.floor.scenes import scene
from scoring.floor.shapes import the
from tests.scoring.floor.small_plans import (
    Leaf,
    Slope,
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

WAY = ((4.06, 1.1), (4.06, 1.9))


def place(drawn: Plan) -> Place:
    return prepare(drawn, kit(), standard())


def area(drawn: Plan, z: float = 1.5, *, walk: bool = True) -> float:
    return float(band(place(drawn), 0, z, walk=walk).region.area)


def joined(kind: str, **more: Any) -> Plan:
    return plan([level(two_rooms().levels[0].spaces, [door("left", "right", WAY, kind, **more)])])


def test_a_band_is_the_rooms_and_the_doors_between_them() -> None:
    assert area(two_rooms()) == pytest.approx(24.0 + 0.8 * 0.12, abs=1e-6)
    assert band(place(two_rooms()), 0, 1.5, walk=True).region.geom_type == "Polygon"


def test_over_the_head_of_a_door_there_is_wall() -> None:
    assert area(two_rooms(), 2.1) == pytest.approx(24.0, abs=1e-6)


@pytest.mark.parametrize("kind", ["window", "glass"])
def test_sight_passes_glass_and_a_walk_does_not(kind: str) -> None:
    assert area(joined(kind, head_m=2.3), walk=False) == pytest.approx(24.0 + 0.096, abs=1e-6)
    assert area(joined(kind, head_m=2.3), walk=True) == pytest.approx(24.0, abs=1e-6)


def test_a_window_is_air_only_between_its_sill_and_its_head() -> None:
    high = joined("window", sill_m=1.6, head_m=2.2)
    assert area(high, 1.5, walk=False) == pytest.approx(24.0, abs=1e-6)
    assert area(high, 1.7, walk=False) == pytest.approx(24.096, abs=1e-6)


@pytest.mark.parametrize(("base", "top", "cut"), [(0.0, 1.4, 0.0), (0.0, 1.6, 1.0), (1.2, 2.0, 1.0), (1.6, 2.0, 0.0)])
def test_a_thing_is_cut_out_only_where_the_band_meets_it(base: float, top: float, cut: float) -> None:
    drawn = two_rooms(things=[thing("Thing", "left", box(1, 1, 2, 2), top, base_m=base)])
    assert area(drawn) == pytest.approx(24.096 - cut, abs=1e-6)


def test_a_slope_ends_the_band_where_the_ceiling_comes_down_to_it() -> None:
    slope = Slope(at=(0.0, 0.0), height_m=1.0, fall_deg=45.0, toward_deg=180.0)
    drawn = plan([level([room("Attic", box(0, 0, 6, 4), "attic", slopes=(slope,))])])
    assert area(drawn, 1.5) == pytest.approx(4.0 * 5.5, abs=1e-6)


def test_spaces_that_share_an_edge_have_no_wall_between_them_even_when_drawn_a_hair_apart() -> None:
    spaces = [room("Living", box(0, 0, 4, 3)), room("Dining", box(4.000002, 0, 7, 3))]
    found = band(place(plan([level(spaces)])), 0, 1.5, walk=True).region
    assert found.geom_type == "Polygon"
    assert found.contains(Point(4.000001, 1.5))


def test_welding_leaves_true_walls_and_corners_as_they_are() -> None:
    rooms = [place(two_rooms()).storeys[0].rooms[i].polygon for i in (0, 1)]
    whole = welded(rooms)
    assert whole.geom_type == "MultiPolygon"
    assert whole.area == pytest.approx(24.0, abs=1e-9)
    assert sorted(whole.bounds) == pytest.approx([0.0, 0.0, 3.0, 8.12], abs=1e-9)


@pytest.mark.parametrize(("open_deg", "into", "inside"), [(90.0, "right", (4.5, 1.12)), (90.0, "left", (3.5, 1.12))])
def test_an_open_leaf_stands_on_the_side_it_opens_to(open_deg: float, into: str, inside: tuple[float, float]) -> None:
    way = door("left", "right", WAY, leaf=Leaf(hinge=0, into=into, open_deg=open_deg))
    where = place(plan([level(two_rooms().levels[0].spaces, [way])]))
    (leaf,) = where.storeys[0].solids
    assert leaf.polygon.area == pytest.approx(0.8 * 0.04)
    assert leaf.polygon.contains(Point(inside))


def test_a_shut_leaf_lies_in_the_wall_and_a_folded_one_against_it() -> None:
    for open_deg, bounds in ((0.0, (4.08, 1.1, 4.12, 1.9)), (180.0, (4.12, 0.3, 4.16, 1.1))):
        way = door("left", "right", WAY, leaf=Leaf(hinge=0, into="right", open_deg=open_deg))
        where = place(plan([level(two_rooms().levels[0].spaces, [way])]))
        assert where.storeys[0].solids[0].polygon.bounds == pytest.approx(bounds)


def test_over_a_flight_the_band_runs_as_far_as_the_treads_lie_under_it() -> None:
    # the nosing line rises from 0.187 m at x = 3 to 2.8 m at the head: it passes 1.5 m half way
    where = place(straight_flight())
    west, _, east, _ = band(where, 0, 1.5, walk=True).region.bounds
    riser, length = 2.8 / 15, 14 * 0.254
    assert west == 0.0
    assert east == pytest.approx(3.0 + length * (1.5 - riser) / (2.8 - riser), abs=1e-6)


def test_on_the_upper_floor_the_whole_well_is_air() -> None:
    found = band(place(straight_flight()), 1, 2.8 + 1.5, walk=True).region
    assert found.bounds[0] == pytest.approx(3.0)


def test_what_is_kept_is_made_once() -> None:
    where = place(two_rooms())
    assert band(where, 0, 1.5, walk=True) is band(where, 0, 1.5, walk=True)
    assert scene(where, 0, 1.5, 0.0) is scene(where, 0, 1.5, 0.0)


def test_walls_are_closed_rings() -> None:
    found = walls(band(place(two_rooms()), 0, 1.5, walk=True).region)
    assert sorted(map(tuple, found[:, :2].tolist())) == sorted(map(tuple, found[:, 2:].tolist()))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Hall", "the hall"),
        ("Bedroom 2", "bedroom 2"),
        ("Dining table", "the dining table"),
        ("WC", "the WC"),
        ("a chair", "a chair"),
        ("the sofa", "the sofa"),
        ("Nora’s room", "Nora’s room"),
    ],
)
def test_a_name_reads_well_within_a_sentence(name: str, words: str) -> None:
    assert the(name) == words
