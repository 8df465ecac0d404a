"""JSON Schemas (draft 2020-12) of the scenario format, made from the code's own types.

A schema tells the structure; what only geometry can tell is in `scoring.floor.check`.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic import TypeAdapter

from scoring.drill import Recipe
from scoring.floor.plan import Plan
from scoring.mastery.population import StandardSet
from scoring.rig.kit import Kit
from scoring.skills import Skills
from scoring.standard import Standard

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_FORMS: dict[str, type] = {
    "floor": Plan,
    "kit": Kit,
    "standard": Standard,
    "recipe": Recipe,
    "skills": Skills,
    "standard-set": StandardSet,
}


def schemas() -> dict[str, dict[str, Any]]:
    """The schema of each form, by its name: floor, kit, standard, recipe, skills, standard-set."""
    return {
        name: {"$schema": DRAFT, "$id": f"{name}.schema.json", **TypeAdapter(form).json_schema()}
        for name, form in _FORMS.items()
    }


def schema_files() -> dict[str, str]:
    """What scenarios/schema must hold: file name to text."""
    return {
        f"{name}.schema.json": json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for name, schema in schemas().items()
    }


__all__ = ["DRAFT", "schema_files", "schemas"]
