"""A short form of the simulation study: simulated operators, fixed seeds, limits with room for few people."""

from __future__ import annotations

import numpy as np

from bench.study.simulate import World, run, summary


def test_the_rule_classes_simulated_operators_rightly_with_few_drills() -> None:
    found = summary(run(World("plain"), seed=1, count=600, least=14, most=60, ready_at=0.9, choose_of=3))
    assert found["drills"] <= 33.0
    assert found["right"] >= 0.84
    assert found["clear"] >= 0.94
    assert 0.86 <= found["holds"] <= 0.94
    assert found["calibration"] <= 0.04


def test_five_drills_a_skill_place_most_skills_rightly() -> None:
    found = summary(run(World("plain"), seed=2, count=200, least=120, most=120, ready_at=2.0, choose_of=3))
    assert found["skill right"] >= 0.79
    assert found["skill clear"] >= 0.86
    assert 0.88 <= found["skill holds"] <= 0.94


def test_it_is_the_same_study_when_run_again() -> None:
    one, other = (run(World("plain"), seed=3, count=50, least=14, most=60, ready_at=0.9) for _ in range(2))
    assert np.array_equal(one.chance, other.chance)


def test_careless_people_are_placed_worse_and_that_shows() -> None:
    careful = summary(run(World("plain"), seed=4, count=400, least=14, most=60, ready_at=0.9))
    careless = summary(run(World("careless", careless_share=1.0), seed=4, count=400, least=14, most=60, ready_at=0.9))
    assert careless["right"] < careful["right"]
