"""Variations of a place: sound, different, the same for ever, and true to the walls they came from."""

from __future__ import annotations

from dataclasses import replace
from math import dist
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from scoring.floor.check import check_plan
from scoring.floor.invent import fingerprint, invent
from scoring.floor.plan import Plan
from scoring.floor.read import read_plan
from scoring.floor.turn import turned
from scoring.floor.vary_rooms import Lines

FLOORS = Path(__file__).parents[3] / "scenarios" / "floors"
NAMES = ("studio", "one-bedroom", "two-bedroom-corner-hall")


def floor(name: str) -> Plan:
    return read_plan((FLOORS / f"{name}.json").read_bytes())


PLANS = {name: floor(name) for name in NAMES}

seeds = st.integers(0, 10_000)
slow = settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("name", NAMES)
@given(seed=seeds)
@slow
def test_it_makes_a_sound_plan_with_other_rooms(name: str, seed: int) -> None:
    plan = PLANS[name]
    made = invent(plan, seed)
    assert check_plan(made) == []
    areas = [Polygon(space.outline).area for level in made.levels for space in level.spaces]
    was = [Polygon(space.outline).area for level in plan.levels for space in level.spaces]
    assert max(abs(a / b - 1.0) for a, b in zip(areas, was, strict=True)) > 0.02
    assert all(0.6 < a / b < 1.6 for a, b in zip(areas, was, strict=True))


@pytest.mark.parametrize("name", NAMES)
@given(seed=seeds)
@slow
def test_it_keeps_the_sizes_of_openings_flights_and_loose_furniture(name: str, seed: int) -> None:
    plan = PLANS[name]
    made = invent(plan, seed)
    for old, new in zip(plan.levels, made.levels, strict=True):
        for was, now in zip(old.openings, new.openings, strict=True):
            assert dist(*now.jambs) == pytest.approx(dist(*was.jambs), abs=1e-6)
            assert now.between == was.between
        for thing, put in zip(old.things, new.things, strict=True):
            if thing.kind in {"sofa", "table", "chair", "bed", "bath", "wc", "basin"}:
                assert Polygon(put.outline).area == pytest.approx(Polygon(thing.outline).area, abs=1e-5)
    assert [flight.risers for flight in made.flights] == [flight.risers for flight in plan.flights]


@given(seed=seeds)
@slow
def test_it_keeps_hallways_wide_enough_to_walk(seed: int) -> None:
    made = invent(PLANS["two-bedroom-corner-hall"], seed)
    halls = [space for level in made.levels for space in level.spaces if space.use == "hall"]
    assert halls
    for hall in halls:
        inset = Polygon(hall.outline).buffer(-0.914 / 2 + 1e-6)
        assert inset.geom_type == "Polygon", "a hall of 0.914 m (IRC R311.6) lets a disc of that width through"
        assert not inset.is_empty


@given(seed=seeds)
@slow
def test_it_gives_the_same_variation_for_the_same_seed(seed: int) -> None:
    plan = PLANS["one-bedroom"]
    assert invent(plan, seed) == invent(plan, seed)


@pytest.mark.parametrize("name", NAMES)
def test_it_gives_different_cases_for_different_seeds(name: str) -> None:
    prints = {fingerprint(invent(PLANS[name], seed)) for seed in range(10)}
    assert len(prints) == 10
    assert fingerprint(PLANS[name]) not in prints


@given(turns=st.integers(0, 3), mirrored=st.booleans(), name=st.sampled_from(NAMES))
@slow
def test_it_takes_turned_and_mirrored_drawings_for_one_case(turns: int, mirrored: bool, name: str) -> None:
    plan = PLANS[name]
    assert fingerprint(turned(plan, turns, mirrored)) == fingerprint(plan)
    renamed = replace(plan, title="Other words", note="Other words")
    assert fingerprint(renamed) == fingerprint(plan)


@given(turns=st.integers(0, 3), name=st.sampled_from(NAMES))
@slow
def test_it_turns_a_plan_all_the_way_round_to_itself(turns: int, name: str) -> None:
    plan = PLANS[name]
    assert turned(turned(plan, turns), 4 - turns) == turned(plan, 0)
    assert check_plan(turned(plan, turns, mirrored=True)) == []


@given(values=st.lists(st.floats(-10.0, 20.0), min_size=2, max_size=20))
def test_it_never_changes_the_order_of_walls(values: list[float]) -> None:
    lines = Lines((0.0, 3.0, 3.12, 7.0), (0.0, 2.6, 2.72, 7.4))
    placed = [lines.at(value) for value in sorted(values)]
    assert placed == sorted(placed)
    assert lines.at(3.12) - lines.at(3.0) == pytest.approx(0.12)
