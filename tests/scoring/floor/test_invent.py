"""Variations of a place: sound, different, the same for ever, and true to the walls they came from."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
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
SEEDS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 4711, 10_000)


@cache
def variations(name: str) -> tuple[Plan, ...]:
    return tuple(invent(PLANS[name], seed) for seed in SEEDS)


def areas(plan: Plan) -> list[float]:
    return [Polygon(space.outline).area for level in plan.levels for space in level.spaces]


slow = settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("name", NAMES)
def test_it_makes_sound_plans_with_other_rooms_and_seldom_with_other_doors_and_furniture_alone(name: str) -> None:
    resized = 0
    for made in variations(name):
        assert check_plan(made) == []
        ratios = [now / was for now, was in zip(areas(made), areas(PLANS[name]), strict=True)]
        assert all(0.6 < ratio < 1.6 for ratio in ratios)
        resized += max(abs(ratio - 1.0) for ratio in ratios) > 0.02
    assert resized >= 10


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("number", range(len(SEEDS)))
def test_it_keeps_the_sizes_of_openings_flights_and_loose_furniture(name: str, number: int) -> None:
    plan, made = PLANS[name], variations(name)[number]
    for old, new in zip(plan.levels, made.levels, strict=True):
        for was, now in zip(old.openings, new.openings, strict=True):
            assert dist(*now.jambs) == pytest.approx(dist(*was.jambs), abs=1e-6)
            assert now.between == was.between
        for thing, put in zip(old.things, new.things, strict=True):
            if thing.kind in {"sofa", "table", "chair", "bed", "bath", "wc", "basin"}:
                assert Polygon(put.outline).area == pytest.approx(Polygon(thing.outline).area, abs=1e-5)
    assert [flight.risers for flight in made.flights] == [flight.risers for flight in plan.flights]


@pytest.mark.parametrize("number", range(len(SEEDS)))
def test_it_keeps_hallways_wide_enough_to_walk(number: int) -> None:
    made = variations("two-bedroom-corner-hall")[number]
    halls = [space for level in made.levels for space in level.spaces if space.use == "hall"]
    assert halls
    for hall in halls:
        inset = Polygon(hall.outline).buffer(-0.914 / 2 + 1e-6)
        assert inset.geom_type == "Polygon", "a hall of 0.914 m (IRC R311.6) lets a disc of that width through"
        assert not inset.is_empty


@pytest.mark.parametrize("number", range(len(SEEDS)))
def test_it_gives_the_same_variation_for_the_same_seed(number: int) -> None:
    assert invent(PLANS["one-bedroom"], SEEDS[number]) == variations("one-bedroom")[number]


@pytest.mark.parametrize("name", NAMES)
def test_it_gives_different_cases_for_different_seeds(name: str) -> None:
    prints = {fingerprint(made) for made in variations(name)}
    assert len(prints) == len(SEEDS)
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
