"""Files of scenarios/ to typed values: a floor, a kit, a house standard, a recipe.

Each reader takes bytes and returns the value, or raises `FileProblems` with every problem and its place; a value
never comes out half. `read_plan` also checks the geometry (see `scoring.floor.check`).
"""

from __future__ import annotations

from pydantic import TypeAdapter

from scoring.border import FileProblems, Problem, read_value
from scoring.drill import Recipe
from scoring.floor.check import check_plan
from scoring.floor.plan import Plan
from scoring.rig.kit import Kit
from scoring.standard import Standard

_PLAN = TypeAdapter(Plan)
_KIT = TypeAdapter(Kit)
_STANDARD = TypeAdapter(Standard)
_RECIPE = TypeAdapter(Recipe)


def read_plan(data: bytes) -> Plan:
    """The place in a file of scenarios/floors. Raises FileProblems, structural ones first, then geometric ones."""
    plan = read_value(_PLAN, data)
    problems = check_plan(plan)
    if problems:
        raise FileProblems(problems)
    return plan


def read_kit(data: bytes) -> Kit:
    """The kit in a file of scenarios/kits. Raises FileProblems."""
    return read_value(_KIT, data)


def read_standard(data: bytes) -> Standard:
    """The house standard in a file of scenarios/standards. Raises FileProblems."""
    return read_value(_STANDARD, data)


def read_recipe(data: bytes) -> Recipe:
    """The recipe in a file of scenarios/drills. Raises FileProblems."""
    return read_value(_RECIPE, data)


__all__ = ["FileProblems", "Problem", "check_plan", "read_kit", "read_plan", "read_recipe", "read_standard"]
