"""The skill map as the scenario files tell it: names in plain words, and recipes by the skill they practise."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.conf import settings

from scoring.drill import Recipe


@dataclass(slots=True)
class Group:
    """One skill with the recipes whose first skill it is."""

    code: str
    name: str
    words: str
    recipes: list[Recipe] = field(default_factory=list)


@cache
def _file() -> dict[str, Any]:
    read: dict[str, Any] = json.loads((settings.SCENARIOS / "skills.json").read_text(encoding="utf-8"))
    return read


@cache
def skill_map() -> dict[str, dict[str, Any]]:
    """Every skill by its code."""
    return {skill["code"]: skill for skill in _file()["skills"]}


@cache
def group_names() -> dict[str, str]:
    """The groups of the map by their codes, in its order."""
    return {group["code"]: group["name"] for group in _file()["groups"]}


def practising(recipes: Iterable[Recipe]) -> dict[str, list[Recipe]]:
    """Recipes by each skill that they give evidence on; those whose first skill it is come first."""
    found: dict[str, list[Recipe]] = {}
    for recipe in sorted(recipes, key=lambda one: one.title):
        for skill in recipe.skills:
            found.setdefault(skill, []).append(recipe)
    return {skill: sorted(some, key=lambda one: one.skills.index(skill)) for skill, some in found.items()}


def skill_name(code: str) -> str:
    """A skill's name in words; the code itself where the map does not have it."""
    return str(skill_map().get(code, {}).get("name", code))


def groups_of(recipes: Iterable[Recipe]) -> list[Group]:
    """Recipes by their first skill, in the order of the map."""
    groups: dict[str, Group] = {}
    for recipe in recipes:
        code = recipe.skills[0]
        if code not in groups:
            groups[code] = Group(code, skill_name(code), str(skill_map().get(code, {}).get("words", "")))
        groups[code].recipes.append(recipe)
    return sorted(groups.values(), key=lambda group: group.code)


__all__ = ["Group", "group_names", "groups_of", "practising", "skill_map", "skill_name"]
