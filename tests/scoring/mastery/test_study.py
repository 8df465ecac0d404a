"""A short form of the simulation study: simulated operators, fixed seeds, and what is asked of the rule.

The study itself (`make study`) has many more people; what it finds in full stands in docs/study-people.md.
"""

from __future__ import annotations

import numpy as np
import pytest

from bench.study.agree import agreement
from bench.study.shipped import check_summary, checked
from bench.study.simulate import World, run, summary


@pytest.mark.parametrize(
    ("world", "count", "least", "most", "ready_at"),
    [
        (World("plain"), 25, 14, 60, 0.90),
        (World("plain"), 10, 24, 60, 0.95),
        (World("guessing, asked later", guess=0.25, idle_days=60.0), 25, 14, 60, 0.90),
        (World("partial credit", partial=True), 10, 120, 120, 2.0),
    ],
    ids=lambda value: value.name.replace(" ", "-") if isinstance(value, World) else "",
)
def test_its_loop_decides_and_measures_as_the_shipped_functions_do(
    world: World, count: int, least: int, most: int, ready_at: float
) -> None:
    found = agreement(world, seed=11, count=count, least=least, most=most, ready_at=ready_at)
    assert found.calls >= count
    assert found.other_calls == 0
    assert found.chance_gap < 1e-9
    assert found.bound_gap < 1e-9


def test_the_rule_classes_simulated_operators_rightly_with_few_drills() -> None:
    found = summary(run(World("plain"), seed=1, count=1000, least=14, most=60, ready_at=0.9, choose_of=3))
    assert found["drills"] <= 33.0
    assert found["right"] >= 0.87
    assert found["clear"] >= 0.955
    assert 0.88 <= found["holds"] <= 0.92
    assert 0.88 <= found["skill holds"] <= 0.92
    assert found["calibration"] <= 0.02


def test_five_drills_a_skill_place_most_skills_rightly() -> None:
    found = summary(run(World("plain"), seed=2, count=500, least=120, most=120, ready_at=2.0, choose_of=3))
    assert found["skill right"] >= 0.81
    assert found["skill clear"] >= 0.88
    assert 0.88 <= found["skill holds"] <= 0.92
    assert found["calibration"] <= 0.02


def test_at_the_strict_setting_one_in_twenty_of_those_called_ready_is_not() -> None:
    found = summary(run(World("plain"), seed=5, count=400, least=24, most=60, ready_at=0.95, choose_of=3))
    assert found["false ready"] <= 0.05


def test_it_is_the_same_study_when_run_again() -> None:
    one, other = (run(World("plain"), seed=3, count=50, least=14, most=60, ready_at=0.9) for _ in range(2))
    assert np.array_equal(one.chance, other.chance)


def test_careless_people_are_placed_worse_and_that_shows() -> None:
    careful = summary(run(World("plain"), seed=4, count=150, least=14, most=60, ready_at=0.9))
    careless = summary(run(World("careless", careless_share=1.0), seed=4, count=150, least=14, most=60, ready_at=0.9))
    assert careless["right"] < careful["right"]


def test_the_check_as_it_ships_decides_most_and_is_seldom_wrong() -> None:
    rng = np.random.default_rng(6)
    found = check_summary([checked(rng) for _ in range(40)])
    assert 12.0 <= found["cases"] <= 33.0
    assert found["decided"] >= 0.6
    assert found["clear"] >= 0.85
    assert 0.8 <= found["holds"] <= 0.98
