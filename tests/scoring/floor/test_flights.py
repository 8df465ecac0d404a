from __future__ import annotations

import math

import pytest

from scoring.floor.flights import plane_through, run_between
from scoring.floor.link_table import link_table
from scoring.floor.links import link, links
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Flight, FlightEnd, Plan
from scoring.floor.shapes import height_at
from tests.scoring.floor.small_plans import at, box, kit, level, plan, room, standard, straight_flight, thing

END = 3.0 + 14 * 0.254


def place(drawn: Plan) -> Place:
    return prepare(drawn, kit(), standard())


def dog_leg() -> Plan:
    """A hall, two flights side by side with a half-landing 1.4 m up, and a landing over the hall."""
    hall = room("Hall", box(0, 0, 2.2, 3), "hall")
    half = room("Half landing", box(0, 4.9, 2.2, 6.3), "half-landing", floor_m=-1.4)
    landing = room("Landing", box(0, 0, 2.2, 3), "landing")
    lower = Flight(
        id="lower", name="Lower flight", risers=8, outline=box(0, 3, 1.1, 4.9),
        foot=FlightEnd(level=0, space="hall", edge=((0.0, 3.0), (1.1, 3.0))),
        head=FlightEnd(level=1, space="half-landing", edge=((0.0, 4.9), (1.1, 4.9))),
    )  # fmt: skip
    upper = Flight(
        id="upper", name="Upper flight", risers=8, outline=box(1.1, 3, 2.2, 4.9),
        foot=FlightEnd(level=1, space="half-landing", edge=((1.1, 4.9), (2.2, 4.9))),
        head=FlightEnd(level=1, space="landing", edge=((1.1, 3.0), (2.2, 3.0))),
    )  # fmt: skip
    return plan([level([hall]), level([landing, half], name="Upper floor", elevation_m=2.8)], [lower, upper])


def test_the_plane_runs_through_both_lenses_and_is_level_across() -> None:
    plane = plane_through(0.0, 0.0, 1.5, 3.0, 4.0, 4.3)
    assert height_at(plane, 0.0, 0.0) == pytest.approx(1.5)
    assert height_at(plane, 3.0, 4.0) == pytest.approx(4.3)
    assert height_at(plane, -4.0, 3.0) == pytest.approx(1.5)


def test_foot_and_head_are_linked_over_a_straight_flight_as_wide_as_it_is() -> None:
    found = link(place(straight_flight()), at(2.0, 1.5), at(END + 1.0, 1.5, 1))
    assert found.holds
    assert found.over == "flight"
    assert found.clear_m == pytest.approx(1.0, abs=1e-6)
    assert found.length_m == pytest.approx(math.hypot(14 * 0.254 + 2.0, 2.8))


def test_the_slabs_edge_cuts_a_line_that_comes_too_high_out_of_the_hall() -> None:
    # far back on the landing and close before the foot, the line is still above the hall's ceiling at the slab
    short = straight_flight(going=0.1)
    found = link(place(short), at(0.2, 1.5), at(3.0 + 14 * 0.1 + 0.2, 1.5, 1))
    assert found.fault == "blocked"


def test_the_treads_cut_a_line_that_comes_too_low() -> None:
    low = kit(lens_height_m=0.5)
    steep = straight_flight(going=0.254)
    below = prepare(steep, low, standard())
    stations = at(2.6, 1.5), at(END + 2.5, 1.5, 1)
    assert link(below, *stations).fault == "blocked"
    assert link(place(steep), *stations).holds


def test_a_beam_over_the_flight_cuts_the_line_and_a_rail_below_it_does_not() -> None:
    def with_bar(base: float, top: float) -> Place:
        bar = thing("Bar", "hall", box(2.7, 0.5, 2.9, 2.5), top, base_m=base)
        drawn = straight_flight()
        ground = level(drawn.levels[0].spaces, things=[bar])
        return place(plan([ground, drawn.levels[1]], drawn.flights))

    stations = at(2.0, 1.5), at(END + 1.0, 1.5, 1)
    assert link(with_bar(1.6, 2.2), *stations).fault == "blocked"
    assert link(with_bar(0.0, 0.9), *stations).holds


def test_the_half_landing_joins_the_floors_of_a_dog_leg_and_foot_and_head_do_not_meet() -> None:
    stations = [at(0.6, 1.8), at(1.1, 5.6, 1), at(1.6, 1.8, 1)]
    found = {(one.a, one.b): one for one in links(place(dog_leg()), stations)}
    assert found[0, 1].holds
    assert found[0, 1].over == "lower"
    assert found[1, 2].holds
    assert found[1, 2].over == "upper"
    assert (0, 2) not in found or not found[0, 2].holds


def test_stations_on_two_levels_away_from_any_flight_are_no_pair() -> None:
    drawn = straight_flight()
    assert links(place(drawn), [at(1.0, 0.5), at(1.0, 0.5, 1)]) == ()
    assert run_between(place(drawn), at(1.0, 0.5), at(2.0, 0.5, 1)) is None


def test_a_step_of_a_split_floor_carries_the_sight_both_ways() -> None:
    spaces = [room("High", box(0, 0, 4, 4), floor_m=0.6), room("Low", box(4, 0, 8, 4))]
    where = place(plan([level(spaces, ceiling_m=3.2)]))
    found = link(where, at(2.0, 2.0), at(6.0, 2.0))
    assert found.holds
    assert found.over is None
    assert found.length_m == pytest.approx(math.hypot(4.0, 0.6))


def test_a_low_ceiling_cuts_the_sight_from_a_split_floor() -> None:
    spaces = [room("High", box(0, 0, 4, 4), floor_m=0.9, ceiling_m=2.4), room("Low", box(4, 0, 8, 4), ceiling_m=1.9)]
    where = place(plan([level(spaces)]))
    assert link(where, at(3.0, 2.0), at(7.0, 2.0)).fault == "blocked"


def test_the_table_of_many_stations_knows_the_links_over_flights_and_steps() -> None:
    where = place(dog_leg())
    stations = [at(0.6, 1.8), at(1.1, 5.6, 1), at(1.6, 1.8, 1), at(0.6, 1.0), at(0.2, 0.2, 5)]
    table = link_table(where, stations)
    for i, a in enumerate(stations):
        for j in range(i + 1, len(stations)):
            assert bool(table[i, j]) == (link(where, a, stations[j]).fault is None)
    assert table[0, 1]
    assert table[1, 2]
