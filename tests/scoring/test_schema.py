"""The JSON Schemas on disk: made from the code's types, valid, and true of every shipped file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from scoring.schema import schema_files, schemas

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
FOLDERS = {"floors": "floor", "kits": "kit", "standards": "standard", "drills": "recipe", "rounds": "standard-set"}
FILES = [(form, path) for folder, form in FOLDERS.items() for path in sorted((SCENARIOS / folder).glob("*.json"))]
FILES.append(("skills", SCENARIOS / "skills.json"))


def test_it_holds_on_disk_exactly_what_the_types_say() -> None:
    on_disk = {path.name: path.read_text(encoding="utf-8") for path in (SCENARIOS / "schema").glob("*")}
    assert on_disk == schema_files(), "run `manage.py scenarios schema`"


@pytest.mark.parametrize("form", sorted(schemas()))
def test_it_is_a_schema_of_draft_2020_12(form: str) -> None:
    schema = schemas()[form]
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["additionalProperties"] is False


@pytest.mark.parametrize(("form", "path"), FILES, ids=lambda part: getattr(part, "stem", part))
def test_it_holds_for_every_shipped_file(form: str, path: Path) -> None:
    errors = list(Draft202012Validator(schemas()[form]).iter_errors(json.loads(path.read_bytes())))
    assert errors == []


def test_it_refuses_an_unknown_field_and_a_far_coordinate() -> None:
    body = json.loads((SCENARIOS / "floors" / "studio.json").read_bytes())
    body["colour"] = "red"
    body["levels"][0]["spaces"][0]["outline"][0][0] = 1e9
    assert len(list(Draft202012Validator(schemas()["floor"]).iter_errors(body))) == 2
