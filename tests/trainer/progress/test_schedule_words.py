"""The scheduling library spaces practice and nothing else: its own words reach no page, table or API."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse
from fsrs import Rating, State

WORDS = {name.lower() for name in [*Rating.__members__, *State.__members__]}
ROOT = Path(__file__).resolve().parents[3]


def test_no_page_or_script_says_one_of_them_by_itself() -> None:
    """As a label, a button, a heading or a value; within a sentence they are plain English."""
    words = "|".join(WORDS)
    label = re.compile(rf">\s*(?:{words})\s*<|(?:value|label)=\"(?:{words})\"", re.IGNORECASE)
    shown = re.compile(rf"[\"'`](?:{'|'.join(word.title() for word in WORDS)})[\"'`]")
    pages = dict.fromkeys(ROOT.glob("trainer/templates/**/*.html"), label)
    scripts = dict.fromkeys(ROOT.glob("trainer/static/**/*.js"), shown)
    assert len(pages) > 50
    said = [str(file) for file, pattern in {**pages, **scripts}.items() if pattern.search(file.read_text("utf-8"))]
    assert said == []


def test_no_column_is_named_by_them_and_none_offers_them() -> None:
    fields = [field for model in apps.get_models() for field in model._meta.concrete_fields]
    assert [field for field in fields if set(field.name.lower().split("_")) & WORDS] == []
    offered = {str(value).lower() for field in fields for value, _ in field.choices or ()}
    assert not offered & WORDS


@pytest.mark.django_db
def test_the_api_does_not_know_them(client: Client, three: object) -> None:
    client.force_login(three.insider)  # type: ignore[attr-defined]
    said = json.loads(client.get(reverse("api_schema"), headers={"accept": "application/json"}).content)

    def names(value: object) -> list[str]:
        if isinstance(value, dict):
            return [*value, *(name for inner in value.values() for name in names(inner))]
        if isinstance(value, list):
            return [name for inner in value for name in names(inner)]
        return [value] if isinstance(value, str) else []

    told = names(said)
    assert len(told) > 100
    assert {name.lower() for name in told} & WORDS == set()
