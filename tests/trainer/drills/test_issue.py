"""Issuing: a stored variation that the person has not seen, once; two taps make one attempt."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django_tasks_db.models import DBTaskResult

from trainer.drills.answer import answer
from trainer.drills.issue import NotReady, issue
from trainer.drills.models import Attempt
from trainer.library.shelf import NotOnShelf
from trainer.renders.stock import READY

pytestmark = pytest.mark.django_db

RECIPE = "two-rooms-place"


def close(attempt: Attempt, now: Any) -> None:
    import uuid

    answer(attempt, client_key=uuid.uuid4(), body={"stations": []}, sureness=1, answered_at=now, now=now)


def test_it_stores_all_that_explains_the_attempt_years_later(issued: Attempt, stocked: Any) -> None:
    assert issued.standard_address == stocked.standard_address
    assert (issued.recipe, issued.kit, issued.mode) == (RECIPE, "heron-three", "drill")
    assert issued.public["plan"]["levels"]
    assert issued.key["reference"]["stations"]
    assert len(issued.recipe_hash) == 64
    assert issued.engine
    assert issued.standard == stocked.standard.version


def test_two_taps_make_one_attempt(issued: Attempt, three: Any) -> None:
    again = issue(three.insider, RECIPE, "drill", issued.issued_at)
    assert (again.attempt.pk, again.fresh) == (issued.pk, False)
    assert Attempt.objects.count() == 1


def test_it_never_gives_one_person_the_same_case_twice(issued: Attempt, three: Any) -> None:
    seen = {issued.fingerprint}
    close(issued, issued.issued_at)
    for _ in range(2):
        attempt = issue(three.insider, RECIPE, "drill", issued.issued_at).attempt
        assert attempt.fingerprint not in seen
        seen.add(attempt.fingerprint)
        close(attempt, issued.issued_at)
    with pytest.raises(NotReady, match="being made"):
        issue(three.insider, RECIPE, "drill", issued.issued_at)
    assert Attempt.objects.filter(person=three.insider).count() == 3


def test_another_person_has_cases_of_their_own(issued: Attempt, three: Any) -> None:
    other = issue(three.mate, RECIPE, "drill", issued.issued_at)
    assert other.fresh
    assert other.attempt.pk != issued.pk


def test_it_asks_the_worker_for_more_than_this_person_has_seen(issued: Attempt) -> None:
    row = DBTaskResult.objects.get()
    assert row.args_kwargs == {"args": [RECIPE, READY + 1], "kwargs": {}}


def test_a_recipe_that_is_not_there_is_said_to_be_missing(stocked: Any, three: Any) -> None:
    with pytest.raises(NotOnShelf, match="nothing"):
        issue(three.insider, "nothing", "drill", datetime(2026, 3, 1, tzinfo=UTC))
