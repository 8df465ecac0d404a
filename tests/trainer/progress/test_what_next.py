"""What to practise next: what was never practised, then what went worst."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from trainer.library.shelf import Entry, take_in
from trainer.progress.catch_up import catch_up
from trainer.progress.what_next import what_next

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, tzinfo=UTC)


@pytest.fixture
def shelf_of_three(entries: list[Entry]) -> None:
    recipe = next(entry for entry in entries if entry.what == "recipe")
    others = [entry for entry in entries if entry.what != "recipe"]
    skills = {"aaa": ["D1"], "bbb": ["D2"], "ccc": ["E1"]}
    made = [Entry("recipe", name, {**recipe.body, "name": name, "skills": codes}) for name, codes in skills.items()]
    take_in([*others, *made], NOW)


def next_name(person: Any) -> str:
    catch_up()
    recipe = what_next(person)
    assert recipe is not None
    return str(recipe.name)


def test_a_new_person_begins_with_the_first(shelf_of_three: None, three: Any) -> None:
    assert next_name(three.insider) == "aaa"


def test_somebody_new_gets_an_empty_plan_of_few_rooms(entries: list[Entry], three: Any) -> None:
    recipe = next(entry for entry in entries if entry.what == "recipe")
    larger = json.loads((Path(settings.SCENARIOS) / "floors" / "studio.json").read_bytes())
    made = [
        Entry("floor", "larger", {**larger, "name": "larger"}),
        Entry("recipe", "aaa", {**recipe.body, "name": "aaa", "kind": "join"}),
        Entry("recipe", "bbb", {**recipe.body, "name": "bbb", "floor": "larger"}),
    ]
    take_in([*entries, *made], NOW)
    assert next_name(three.insider) == recipe.name


def test_what_was_never_practised_comes_first(shelf_of_three: None, graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"D1": 0.0, "D2": 0.0})
    assert next_name(three.insider) == "ccc"


def test_after_the_first_plan_comes_a_frame_and_then_a_plan_again(
    entries: list[Entry], graded_row: Callable[..., Any], three: Any
) -> None:
    recipe = next(entry for entry in entries if entry.what == "recipe")
    made = [
        Entry("recipe", name, {**recipe.body, "name": name, "kind": kind, "skills": [skill], "settings": {}})
        for name, kind, skill in (
            ("aaa", "cause", "V3"), ("bbb", "join", "D3"), ("ccc", "place", "D1"), ("ddd", "place", "D2"),
            ("eee", "verdict", "V1"),
        )
    ]  # fmt: skip
    take_in([*(entry for entry in entries if entry.what != "recipe"), *made], NOW)
    assert next_name(three.insider) == "ccc"
    graded_row(three.insider, {"D1": 1.0})
    assert next_name(three.insider) == "eee"
    graded_row(three.insider, {"V1": 1.0}, kind="verdict")
    assert next_name(three.insider) == "ddd"


def test_then_what_went_worst(shelf_of_three: None, graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"D1": 0.9, "D2": 0.4, "E1": 0.6})
    assert next_name(three.insider) == "bbb"


def test_what_a_mate_did_counts_for_the_mate_alone(
    shelf_of_three: None, graded_row: Callable[..., Any], three: Any
) -> None:
    graded_row(three.mate, {"D1": 0.9, "D2": 0.4, "E1": 0.6})
    assert next_name(three.insider) == "aaa"
    assert next_name(three.mate) == "bbb"
    assert next_name(three.outsider) == "aaa"


def test_an_empty_shelf_has_nothing_to_practise(three: Any) -> None:
    assert what_next(three.insider) is None
