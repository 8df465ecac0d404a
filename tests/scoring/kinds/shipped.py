"""Cases made from the shipped recipes, for the tests of every kind."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from scoring.drill import Grade, Recipe, Task, Unfit
from scoring.floor.plan import Plan
from scoring.floor.read import read_kit, read_plan, read_recipe, read_standard
from scoring.kinds import kind
from scoring.rig.kit import Kit
from scoring.standard import Standard

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"


@cache
def standard() -> Standard:
    """The shipped house standard."""
    return read_standard((SCENARIOS / "standards" / "house.json").read_bytes())


@cache
def parts(name: str) -> tuple[Recipe, Plan, Kit]:
    """A shipped recipe with its floor and kit."""
    recipe = read_recipe((SCENARIOS / "drills" / f"{name}.json").read_bytes())
    plan = read_plan((SCENARIOS / "floors" / f"{recipe.floor}.json").read_bytes())
    return recipe, plan, read_kit((SCENARIOS / "kits" / f"{recipe.kit}.json").read_bytes())


@cache
def tasks(name: str, count: int, seeds: int = 40) -> tuple[Task, ...]:
    """The first so many tasks that a recipe's seeds make."""
    made = []
    for seed in range(1, seeds + 1):
        try:
            made.append(kind(parts(name)[0].kind).make(*parts(name), standard(), seed))
        except Unfit:
            continue
        if len(made) == count:
            return tuple(made)
    raise AssertionError(f"{name}: {len(made)} of {count} cases in {seeds} seeds")


def graded(task: Task, answer: Any) -> Grade:
    """The grade of an answer."""
    return kind(task.kind).grade(task, answer, standard())


def stored(task: Task) -> Task:
    """The task as it comes back from where it was stored."""
    return Task(**json.loads(json.dumps(asdict(task))))


def sentences(grade: Grade) -> Iterator[str]:
    """The words of every mark."""
    return (mark.words for mark in grade.marks)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 99) | st.floats(allow_nan=True) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


def like(*names: str) -> st.SearchStrategy[Any]:
    """Any JSON, and objects that have some of an answer's parts."""
    station = st.fixed_dictionaries({}, optional={"level": JSON, "x": JSON, "y": JSON})
    inside = JSON | st.lists(station, max_size=3) | st.lists(st.lists(st.integers(-1, 9), max_size=3), max_size=3)
    return JSON | st.fixed_dictionaries({}, optional=dict.fromkeys(names, inside))
