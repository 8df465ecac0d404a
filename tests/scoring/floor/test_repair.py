from __future__ import annotations

from scoring.floor.links import link
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan, Station
from scoring.floor.repair import join_islands
from scoring.floor.stands import stand
from scoring.floor.survey import survey
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard, straight_flight


def place(drawn: Plan) -> Place:
    return prepare(drawn, kit(), standard())


def row(rooms: int) -> Plan:
    """Rooms in a row, with doors at alternate ends, so that no two doors are in line."""
    spaces = [room(f"Room {i}", box(4.12 * i, 0, 4.12 * i + 4, 4)) for i in range(rooms)]
    ways = []
    for i in range(rooms - 1):
        x, y = 4.12 * i + 4.06, 0.3 if i % 2 else 2.7
        ways.append(door(f"room-{i}", f"room-{i + 1}", ((x, y), (x, y + 1.0))))
    return plan([level(spaces, ways)])


def added(found: object) -> list[Station]:
    return [Station(level=level, x=x, y=y) for level, x, y in found.stations]  # type: ignore[attr-defined]


def test_one_station_joins_two_islands_where_one_sees_both() -> None:
    here = place(row(2))
    apart = [at(1.0, 1.0), at(7.0, 1.0)]
    assert not link(here, *apart).holds
    found = join_islands(here, apart, ((0,), (1,)))
    assert len(found.stations) == 1
    assert found.proven
    assert survey(here, [*apart, *added(found)], {}).islands == ((0, 1, 2),)
    assert all(stand(here, s).allowed for s in added(found))


def test_two_are_added_where_one_cannot_do() -> None:
    here = place(row(3))
    apart = [at(1.0, 0.6), at(11.5, 3.4)]
    found = join_islands(here, apart, ((0,), (1,)))
    assert found.proven
    assert len(found.stations) >= 2
    assert len(survey(here, [*apart, *added(found)], {}).islands) == 1


def test_islands_are_joined_over_a_flight() -> None:
    here = place(straight_flight())
    apart = [at(0.6, 0.6), at(9.0, 2.4, 1)]
    found = join_islands(here, apart, ((0,), (1,)))
    assert found.stations
    assert len(survey(here, [*apart, *added(found)], {}).islands) == 1


def test_what_is_joined_already_needs_nothing() -> None:
    here = place(row(2))
    found = join_islands(here, [at(1.0, 1.0), at(2.0, 1.0)], ((0, 1),))
    assert found.stations == ()
    assert found.proven


def test_what_no_listed_stand_can_join_stays_apart() -> None:
    here = place(plan([level([room("One", box(0, 0, 3, 3)), room("Two", box(5, 0, 8, 3))])]))
    found = join_islands(here, [at(1.5, 1.5), at(6.5, 1.5)], ((0,), (1,)))
    assert found.stations == ()
