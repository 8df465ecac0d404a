"""What a recipe may set: every kind declares it as one frozen class, so that a file's faults are told with their place.

A kind's module has at its top level

    @declared
    class Settings:                     fields with defaults and bounds; ``vary`` among them
        ...

    def check_settings(recipe, plan) -> list[Problem]:      only where a setting names something of the plan

and reads them with ``settings_of(recipe, Settings)``. A recipe written before its kind knew bounds makes nothing
(``Unfit``), and ``manage.py scenarios check`` says why.
"""

from __future__ import annotations

from typing import TypeVar

from pydantic import TypeAdapter
from pydantic.dataclasses import dataclass

from scoring.border import FileProblems, Problem, read_value
from scoring.drill import Json, Recipe, Unfit, canonical_json
from scoring.floor.plan import Plan
from scoring.standard import BORDER

T = TypeVar("T")

declared = dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
"""Makes a class of settings: unknown names are refused."""


def settings_of(recipe: Recipe, form: type[T]) -> T:
    """A recipe's settings as its kind's own class. Raises Unfit with everything that is wrong with them."""
    try:
        return _read(recipe, form)
    except FileProblems as error:
        raise Unfit(f"recipe {recipe.name!r}: {error}") from None


def problems_in(recipe: Recipe, form: type[object]) -> list[Problem]:
    """What is wrong with a recipe's settings, with the place of each fault in its file."""
    try:
        _read(recipe, form)
    except FileProblems as error:
        return list(error.problems)
    return []


def unknown_spaces(recipe: Recipe, plan: Plan) -> list[Problem]:
    """The ids in the setting "spaces" that no space of the plan has."""
    known = {space.id for level in plan.levels for space in level.spaces}
    named = recipe.settings.get("spaces", [])
    return [
        Problem(f"settings.spaces[{index}]", f"floor {plan.name!r} has no space {name!r}")
        for index, name in enumerate(named if isinstance(named, list) else [])
        if name not in known
    ]


def _read(recipe: Recipe, form: type[T]) -> T:
    try:
        return read_value(TypeAdapter(form), canonical_json(_whole(recipe.settings)).encode())
    except FileProblems as error:
        raise FileProblems([_inside(problem) for problem in error.problems]) from None


def _inside(problem: Problem) -> Problem:
    return Problem(f"settings.{problem.where}" if problem.where else "settings", problem.words)


def _whole(settings: dict[str, Json]) -> dict[str, Json]:
    """Whole numbers as such: a recipe keeps every number as a fraction."""
    return {
        name: int(value) if isinstance(value, float) and value.is_integer() else value
        for name, value in settings.items()
    }


__all__ = ["declared", "problems_in", "settings_of", "unknown_spaces"]
