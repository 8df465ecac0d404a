"""Rows of the ledger as the verbs write them, for tests of what is built on the ledger."""

from __future__ import annotations

import itertools
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

    def make(person: Any, credits: dict[str, float], **fields: Any) -> Any:
        attempt = attempt_row(person, **fields)
        at = FIRST + timedelta(minutes=next(minutes))
        answer = Answer.objects.create(
            attempt=attempt,
            client_key=uuid.uuid4(),
            body={"stations": []},
            sureness=2,
            answered_at=at,
            received_at=at,
        )
        evidence = [
            {"skill": skill, "credit": credit, "difficulty_logit": 0.0, "difficulty_sd": 0.6, "guess_floor": 0.1}
            for skill, credit in credits.items()
        ]
        mean = sum(credits.values()) / len(credits)
        Grade.objects.create(
            answer=answer,
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
