from __future__ import annotations

import math
from typing import Any

import pytest

from scoring.floor.incidence import walls_seen
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan, Station
from scoring.floor.turn import turned
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard, thing, two_rooms

TAN_60 = math.tan(math.radians(60.0))


def place(drawn: Plan, **limits: Any) -> Place:
    return prepare(drawn, kit(), standard(**limits))


def hall() -> Plan:
    return plan([level([room("Hall", box(0, 0, 6, 4))])])


def walls(where: Place, *stations: Station, space: str = "hall") -> tuple[float, float]:
    """Length of wall seen, and of that the length met only at a flat angle [m]."""
    found = {one.space: (one.seen_m, one.flat_m) for one in walls_seen(where, stations)}
    return found.get(space, (0.0, 0.0))


def test_from_the_middle_of_a_room_every_wall_is_met_squarely() -> None:
    assert walls(place(hall()), at(3.0, 2.0)) == (pytest.approx(20.0), pytest.approx(0.0))


def test_along_the_wall_beside_a_station_the_far_end_is_flat() -> None:
    # one metre off the south and the west wall, both are met within 60 degrees up to 1 + tan 60 only
    flat = (6.0 - 1.0 - TAN_60) + (4.0 - 1.0 - TAN_60)
    assert walls(place(hall()), at(1.0, 1.0)) == (pytest.approx(20.0), pytest.approx(flat))


def test_the_stretch_is_told_where_it_is() -> None:
    (found,) = walls_seen(place(hall()), [at(1.0, 1.0)])
    ends = sorted((round(x, 6), round(y, 6)) for line in found.flat for x, y in line)
    near = round(1.0 + TAN_60, 6)
    assert ends == sorted([(near, 0.0), (6.0, 0.0), (0.0, near), (0.0, 4.0)])


def test_a_second_station_squares_what_the_first_meets_flat() -> None:
    assert walls(place(hall()), at(1.0, 1.0), at(5.0, 3.0))[1] == pytest.approx(0.0)


def test_a_wider_angle_leaves_less_flat() -> None:
    found = [walls(place(hall(), incidence_report_deg=angle), at(1.0, 1.0))[1] for angle in (45.0, 60.0, 75.0, 90.0)]
    assert found == sorted(found, reverse=True)
    assert found[-1] == pytest.approx(0.0)


def test_wall_beyond_the_range_is_not_seen() -> None:
    # within 2 m of (1, 1): 2 m of chord to one side and one metre to the corner on both walls; the others are too far
    seen, _ = walls(place(hall(), sight_range_m=2.0), at(1.0, 1.0))
    assert seen == pytest.approx(2.0 * (1.0 + math.sqrt(3.0)))


def test_a_doorway_is_no_wall_and_the_next_room_is_seen_through_it() -> None:
    where = place(two_rooms())
    assert walls(where, at(2.0, 1.5), space="left")[0] == pytest.approx(14.0 - 0.8)
    # the doorway's far face, 0.8 m wide, is 2.12 m off and the far wall 6.12 m
    assert walls(where, at(2.0, 1.5), space="right")[0] == pytest.approx(0.8 * 6.12 / 2.12)


def test_a_wardrobe_hides_the_wall_behind_it_and_a_table_does_not() -> None:
    def seen(height: float) -> float:
        drawn = plan([level([room("Hall", box(0, 0, 6, 4))], [], [thing("Chest", "hall", box(2, 0, 4, 0.6), height)])])
        return walls(place(drawn), at(3.0, 2.0))[0]

    assert seen(0.8) == pytest.approx(20.0)
    assert seen(2.0) == pytest.approx(20.0 - 2.0 * 2.0 / 1.4)


def test_a_window_shows_what_is_outside_and_no_wall() -> None:
    way = door("hall", "outside", ((1.0, -0.06), (2.0, -0.06)), "window", sill_m=0.9, head_m=2.0)
    drawn = plan([level([room("Hall", box(0, 0, 6, 4))], [way])])
    assert walls(place(drawn), at(3.0, 2.0))[0] == pytest.approx(19.0)


def test_an_open_plan_has_no_wall_between_its_areas() -> None:
    drawn = plan([level([room("Hall", box(0, 0, 3, 4)), room("Den", box(3, 0, 6, 4))])])
    found = walls_seen(place(drawn), [at(2.9, 2.0)])
    assert [(one.space, one.seen_m) for one in found] == [("hall", pytest.approx(10.0)), ("den", pytest.approx(10.0))]


@pytest.mark.parametrize(("quarters", "mirrored"), [(1, False), (2, True), (3, False)])
def test_turning_the_plan_changes_no_length(quarters: int, mirrored: bool) -> None:
    drawn = plan([level([room("Hall", ((0, 0), (6, 0), (6, 2), (2, 2), (2, 5), (0, 5)))])])
    spun = turned(drawn, quarters, mirrored)
    told = [walls_seen(place(where), [station]) for where, station in ((drawn, at(1.0, 1.2)), (spun, _spun(spun)))]
    assert told[0][0].flat_m > 0.1
    assert told[1][0].seen_m == pytest.approx(told[0][0].seen_m)
    assert told[1][0].flat_m == pytest.approx(told[0][0].flat_m)


def _spun(spun: Plan) -> Station:
    """The spot 1.2 m off the long wall of the L's foot and 1 m off that of its leg, wherever it lies now."""
    outline = spun.levels[0].spaces[0].outline
    corner, foot, leg = outline[0], outline[1], outline[5]
    ux, uy = (foot[0] - corner[0]) / 6.0, (foot[1] - corner[1]) / 6.0
    vx, vy = (leg[0] - corner[0]) / 5.0, (leg[1] - corner[1]) / 5.0
    return at(corner[0] + 1.0 * ux + 1.2 * vx, corner[1] + 1.0 * uy + 1.2 * vy)


def test_a_station_in_a_wall_or_in_a_thing_sees_none() -> None:
    assert walls_seen(place(two_rooms()), [at(4.05, 0.2), at(-5.0, -5.0)]) == ()
