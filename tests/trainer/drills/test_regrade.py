"""Regrade equals grade; and where a stored grade differs, every difference is said."""

from __future__ import annotations

import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection

from trainer.drills import regrade
from trainer.drills.answer import answer
from trainer.drills.append_only import seal, unseal
from trainer.drills.issue import issue
from trainer.drills.models import Grade
from trainer.drills.regrade import compare, differences

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, 10, 0, tzinfo=UTC)


@pytest.fixture
def graded(issued: Any) -> Any:
    body = {"stations": [{"level": 0, "x": 1.4, "y": 1.2}, {"level": 0, "x": 4.9, "y": 1.25}]}
    return answer(issued, client_key=uuid.uuid4(), body=body, sureness=2, answered_at=NOW, now=NOW).grade


def test_the_whole_ledger_comes_out_as_it_was_given(graded: Any) -> None:
    assert list(differences()) == [(graded.answer.attempt_id, [])]
    out = StringIO()
    call_command("regrade", check=True, stdout=out)
    assert "1 grades computed again, 0 of them differ" in out.getvalue()


def test_a_forged_grade_is_found(graded: Any) -> None:
    forged = {**graded.body, "credit": graded.body["credit"] + 2e-6 + 2e-6 * graded.body["credit"]}
    unseal(connection)
    Grade.objects.filter(pk=graded.pk).update(body=forged)
    seal(connection)
    ((_, found),) = differences()
    assert [line.split(":")[0] for line in found] == [".credit"]
    with pytest.raises(SystemExit) as ended:
        call_command("regrade", check=True, stdout=StringIO())
    assert ended.value.code == 1


@pytest.mark.parametrize(
    ("stored", "now", "found"),
    [
        ({"a": 1.0}, {"a": 1.0 + 1e-7}, 0),
        ({"a": 1.0}, {"a": 1.0 + 1e-5}, 1),
        ({"a": 1}, {"a": True}, 1),
        ({"a": None}, {"a": 0.0}, 1),
        ([1, 2], [1], 1),
        ({"a": 1}, {"b": 1}, 2),
        ([{"a": "x"}, 3.0], [{"a": "y"}, 4.0], 2),
        ((1.0,), [1.0], 0),
    ],
)
def test_it_tells_every_difference_over_the_tolerance(stored: Any, now: Any, found: int) -> None:
    assert len(list(compare(stored, now, ""))) == found


@pytest.mark.django_db(transaction=True)
def test_answers_are_kept_while_the_ledger_is_computed_again(
    stocked: Any, three: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(regrade, "CHUNK", 1)
    body = {"stations": [{"level": 0, "x": 1.4, "y": 1.2}]}

    def keep() -> None:
        try:
            case = issue(three.insider, "two-rooms-place", "drill", NOW).attempt
            answer(case, client_key=uuid.uuid4(), body=body, sureness=2, answered_at=NOW, now=NOW)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as other:
        for _ in range(2):
            other.submit(keep).result(timeout=60)
        computing = differences()
        next(computing)
        other.submit(keep).result(timeout=60)
    assert len(list(computing)) == 1
    assert Grade.objects.count() == 3
