"""Rows of the ledger as the verbs write them, for tests of what is built on the ledger."""

from __future__ import annotations

import itertools
import json
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

FIRST = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


@pytest.fixture
def attempt_row(db: None) -> Callable[..., Any]:
    """Makes an open attempt of a person."""
    from trainer.drills.models import Attempt

    def make(person: Any, **fields: Any) -> Attempt:
        row: dict[str, Any] = {
            "mode": "drill",
            "kind": "place",
            "recipe": "a-recipe",
            "recipe_hash": "r" * 64,
            "kit": "a-kit",
            "seed": 7,
            "engine": "1",
            "standard": "house-1",
            "standard_address": "s" * 64,
            "public": {"title": "A flat"},
            "key": {"reference": [[0, 1.0, 2.0]]},
            "difficulty_logit": 0.0,
            "difficulty_sd": 0.6,
            "guess_floor": 0.1,
            "fingerprint": "f" * 64,
            "issued_at": FIRST,
        }
        return Attempt.objects.create(person=person, **{**row, **fields})

    return make


@pytest.fixture
def graded_row(attempt_row: Callable[..., Any]) -> Callable[..., Any]:
    """Makes a graded attempt: (person, {skill: credit}) and its entry in the ledger."""
    from trainer.drills.ledger import enter
    from trainer.drills.models import Answer, Entry, Grade

    minutes = itertools.count()

    def make(
        person: Any,
        credits: dict[str, float],
        *,
        at: datetime | None = None,
        answer: dict[str, Any] | None = None,
        sureness: int = 2,
        **fields: Any,
    ) -> Any:
        attempt = attempt_row(person, **fields)
        at = at or FIRST + timedelta(minutes=next(minutes))
        row = Answer.objects.create(
            attempt=attempt,
            client_key=uuid.uuid4(),
            body=answer or {"stations": []},
            sureness=sureness,
            answered_at=at,
            received_at=at,
        )
        evidence = [
            {"skill": skill, "credit": credit, "difficulty_logit": 0.0, "difficulty_sd": 0.6, "guess_floor": 0.1}
            for skill, credit in credits.items()
        ]
        mean = sum(credits.values()) / len(credits)
        Grade.objects.create(
            answer=row,
            credit=mean,
            verdict="holds",
            body={"credit": mean, "verdict": "holds", "summary": "", "marks": [], "evidence": evidence, "shapes": []},
            engine="1",
            standard="house-1",
            made_at=at,
        )
        enter(Entry.What.GRADE, attempt, at)
        return attempt

    return make


def _room(name: str, use: str, x0: float, y0: float, x1: float, y1: float) -> dict[str, Any]:
    outline = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
    return {"id": name, "name": name.capitalize(), "use": use, "outline": outline}


TWO_ROOMS: dict[str, Any] = {
    "format": "levelhead-floor",
    "version": 1,
    "name": "two-rooms",
    "title": "Two rooms",
    "note": "Small, so that its reference is proven at once.",
    "north_deg": 90.0,
    "entrance": "hall",
    "levels": [
        {
            "name": "Ground floor",
            "elevation_m": 0.0,
            "ceiling_m": 2.5,
            "spaces": [_room("hall", "hall", 0.0, 0.0, 3.0, 2.4), _room("den", "living", 3.12, 0.0, 6.6, 3.2)],
            "openings": [
                {
                    "id": "front-door",
                    "kind": "door",
                    "between": ["hall", "outside"],
                    "jambs": [[-0.15, 0.8], [-0.15, 1.7]],
                    "depth_m": 0.3,
                    "leaf": {"hinge": 0, "into": "hall", "open_deg": 0.0},
                },
                {
                    "id": "den-door",
                    "kind": "door",
                    "between": ["hall", "den"],
                    "jambs": [[3.06, 0.8], [3.06, 1.7]],
                    "depth_m": 0.12,
                    "leaf": {"hinge": 0, "into": "den", "open_deg": 90.0},
                },
            ],
            "things": [
                {
                    "id": "sofa",
                    "name": "sofa",
                    "kind": "sofa",
                    "space": "den",
                    "outline": [[3.6, 2.3], [5.4, 2.3], [5.4, 3.1], [3.6, 3.1]],
                    "height_m": 0.8,
                }
            ],
        }
    ],
}
RECIPE: dict[str, Any] = {
    "format": "levelhead-recipe",
    "version": 1,
    "name": "two-rooms-place",
    "kind": "place",
    "title": "Two rooms",
    "task": "Put stations so that all floor is shown from one connected set.",
    "floor": "two-rooms",
    "kit": "heron-three",
    "skills": ["D1", "D2"],
    "settings": {},
}
CANARY = "86753.0921"
"""A number that stands in every key of the tests and nowhere else."""


@pytest.fixture
def two_rooms() -> dict[str, Any]:
    """The small floor, as a file has it."""
    return TWO_ROOMS


@pytest.fixture(scope="session")
def entries() -> list[Any]:
    """A shelf of one recipe, one small floor, and the shipped kit and standard."""
    from django.conf import settings

    from trainer.library.shelf import Entry

    kit = json.loads((settings.SCENARIOS / "kits" / "heron-three.json").read_text())
    standard = json.loads((settings.SCENARIOS / "standards" / "house.json").read_text())
    return [
        Entry("floor", "two-rooms", TWO_ROOMS),
        Entry("recipe", "two-rooms-place", RECIPE),
        Entry("kit", "heron-three", kit),
        Entry("standard", standard["version"], standard),
    ]


@pytest.fixture(scope="session")
def made_tasks() -> dict[str, list[Any]]:
    """Tasks by content address, so that a session makes each of them once."""
    return {}


@pytest.fixture
def stocked(db: None, entries: list[Any], made_tasks: dict[str, list[Any]]) -> Any:
    """The shelf taken in, and three variations of its recipe stored with a canary in each key; their basis."""
    from trainer.library.shelf import basis, take_in
    from trainer.renders.models import Variation
    from trainer.renders.stock import make_ready

    take_in(entries, FIRST)
    made_of = basis("two-rooms-place")
    if made_of.address not in made_tasks:
        seeds = itertools.count(1)
        assert make_ready(made_of, 3, FIRST, at_most=3, draw=lambda: next(seeds)) == 0
        made_tasks[made_of.address] = list(Variation.objects.order_by("pk"))
        Variation.objects.all().delete()
    for variation in made_tasks[made_of.address]:
        variation.pk = None
        variation.task["key"]["canary"] = float(CANARY)
        variation.save(force_insert=True)
    return made_of


@pytest.fixture
def issued(stocked: Any, three: Any) -> Any:
    """An open attempt of the insider."""
    from trainer.drills.issue import issue

    return issue(three.insider, "two-rooms-place", "drill", FIRST).attempt


@pytest.fixture
def good_answer(issued: Any) -> dict[str, Any]:
    """The reference of the open attempt, as an answer."""
    stations = issued.key["reference"]["stations"]
    return {"stations": [{"level": level, "x": x, "y": y} for level, x, y in stations]}
