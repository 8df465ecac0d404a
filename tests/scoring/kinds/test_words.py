"""Words of grades: what one stands in, and what one stands on."""

from __future__ import annotations

import pytest

from scoring.floor.plan import Plan
from scoring.floor.read import read_plan
from scoring.kinds.words import Names, in_or_on
from tests.scoring.kinds.shipped import SCENARIOS

PLANS = [read_plan(path.read_bytes()) for path in sorted((SCENARIOS / "floors").glob("*.json"))]
OPEN = {"balcony", "terrace", "drive", "path", "landing"}


@pytest.mark.parametrize(
    ("room", "words"),
    [
        ("the kitchen", "in the kitchen"),
        ("the landing", "on the landing"),
        ("the half-landing", "on the half-landing"),
        ("the landing on the first floor", "on the landing on the first floor"),
        ("landing 2", "on landing 2"),
        ("the garden terrace", "on the garden terrace"),
        ("the garden room", "in the garden room"),
        ("the terrace room", "in the terrace room"),
    ],
)
def test_one_stands_in_a_room_and_on_an_open_place(room: str, words: str) -> None:
    assert in_or_on(room) == words


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
def test_every_open_place_of_the_shipped_floors_is_stood_on(plan: Plan) -> None:
    names = Names(plan)
    for number, level in enumerate(plan.levels):
        for space in level.spaces:
            last = space.name.lower().replace("-", " ").split()[-1]
            assert in_or_on(names.room(number, space.id)).startswith("on " if last in OPEN else "in "), space.name
