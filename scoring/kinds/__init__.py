"""One module for each kind of drill, each with make and grade; this page is their register."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, cast

from scoring.drill import Kind, KindName, Recipe

if TYPE_CHECKING:
    from scoring.border import Problem
    from scoring.floor.plan import Plan

LOOKED_AT: tuple[KindName, ...] = ("verdict", "cause", "cue", "pair", "change", "heading")
"""Kinds whose cases are frames."""
REGISTER: tuple[KindName, ...] = ("place", "join", "thin", "stand", "threshold", *LOOKED_AT)


def kind(name: str) -> Kind:
    """The kind of that name; KeyError when there is none."""
    if name not in REGISTER:
        raise KeyError(name)
    return cast(Kind, import_module(f"scoring.kinds.{name}"))


def settings_problems(recipe: Recipe, plan: Plan | None = None) -> list[Problem]:
    """What is wrong with the settings of a recipe whose kind declares them, with its place in the file; with its plan,
    also what they name there (see ``settings``)."""
    if recipe.kind not in REGISTER:
        return []
    module = import_module(f"scoring.kinds.{recipe.kind}")
    found: list[Problem] = []
    if hasattr(module, "Settings"):
        found = import_module("scoring.kinds.settings").problems_in(recipe, module.Settings)
    if plan is not None and not found and hasattr(module, "check_settings"):
        found = module.check_settings(recipe, plan)
    return found


__all__ = ["REGISTER", "kind", "settings_problems"]
