"""Answering: once, whole or not at all; the same answer again finds the same grade."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection

from scoring.drill import AnswerError
from trainer.drills.answer import AlreadyAnswered, Answered, KeyTaken, Voided, answer
from trainer.drills.issue import issue
from trainer.drills.models import Answer, Attempt, Entry, Grade
from trainer.drills.void import void

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, 10, 0, tzinfo=UTC)


def send(attempt: Attempt, body: dict[str, Any], key: uuid.UUID | None = None, **fields: Any) -> Answered:
    told = {"sureness": 2, "answered_at": NOW, "now": NOW, **fields}
    return answer(attempt, client_key=key or uuid.uuid4(), body=body, **told)


def test_the_reference_is_worth_everything(issued: Attempt, good_answer: dict[str, Any]) -> None:
    grade = send(issued, good_answer).grade
    assert grade.verdict != "fails"
    assert grade.credit == pytest.approx(1.0, abs=0.05)
    assert {evidence["skill"] for evidence in grade.body["evidence"]} == {"D1", "D2"}


def test_nothing_placed_is_worth_little(issued: Attempt) -> None:
    assert send(issued, {"stations": []}).grade.credit < 0.3


def test_answer_grade_and_entry_are_stored_together(issued: Attempt, good_answer: dict[str, Any]) -> None:
    send(issued, good_answer, sureness=3)
    stored = Answer.objects.get(attempt=issued)
    assert (stored.body, stored.sureness) == (good_answer, 3)
    assert Grade.objects.get(answer=stored).standard == issued.standard
    assert Entry.objects.get(what="grade").attempt == issued


def test_sent_again_it_gives_the_same_grade_byte_for_byte(issued: Attempt, good_answer: dict[str, Any]) -> None:
    key = uuid.uuid4()
    first = send(issued, good_answer, key)
    again = send(issued, {"stations": []}, key)
    assert (first.repeat, again.repeat) == (False, True)
    assert str(first.grade.body) == str(again.grade.body)
    assert first.grade.pk == again.grade.pk
    assert Answer.objects.count() == 1


def test_a_second_answer_is_refused_with_the_grade_that_stands(issued: Attempt, good_answer: dict[str, Any]) -> None:
    first = send(issued, {"stations": []})
    with pytest.raises(AlreadyAnswered) as refused:
        send(issued, good_answer)
    assert refused.value.grade.pk == first.grade.pk
    assert Grade.objects.count() == 1


def test_a_key_belongs_to_one_attempt(issued: Attempt, three: Any) -> None:
    key = uuid.uuid4()
    send(issued, {"stations": []}, key)
    other = issue(three.mate, issued.recipe, "drill", NOW).attempt
    with pytest.raises(KeyTaken):
        send(other, {"stations": []}, key)
    assert Answer.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"stations": 3},
        {"stations": [{"level": 0, "x": 1.0}]},
        {"stations": [{"level": 7, "x": 1.0, "y": 1.0}]},
        {"stations": [{"level": 0, "x": "one", "y": 1.0}]},
        {"stations": [{"level": 0, "x": 1e308, "y": 1.0}]},
        {"stations": [{"level": 0, "x": 1.0, "y": 1.0}] * 10_000},
        {"stations": [], "more": 1},
    ],
    ids=lambda body: str(body)[:60],
)
def test_what_cannot_be_read_leaves_the_attempt_open(body: dict[str, Any], issued: Attempt) -> None:
    with pytest.raises(AnswerError):
        send(issued, body)
    assert not Answer.objects.exists()


def test_a_voided_attempt_takes_no_answer(issued: Attempt, three: Any) -> None:
    void(issued, by=three.trainer, reason="the plan was wrong", now=NOW)
    with pytest.raises(Voided):
        send(Attempt.objects.get(pk=issued.pk), {"stations": []})
    assert not Answer.objects.exists()


@pytest.mark.parametrize("off", [timedelta(hours=-1), timedelta(days=4000), timedelta(days=-20_000)])
def test_a_wrong_clock_of_the_device_refuses_no_answer(off: timedelta, issued: Attempt) -> None:
    send(issued, {"stations": []}, answered_at=NOW + off)
    stored = Answer.objects.get()
    assert (stored.answered_at, stored.received_at) == (NOW + off, NOW)


def test_the_grade_is_computed_before_the_transaction(issued: Attempt, monkeypatch: pytest.MonkeyPatch) -> None:
    from trainer.drills import answer as module

    held: list[int] = []
    judge = module.judge

    def watched(*args: Any) -> Any:
        held.append(len(connection.savepoint_ids))
        return judge(*args)

    monkeypatch.setattr(module, "judge", watched)
    before = len(connection.savepoint_ids)
    send(issued, {"stations": []})
    assert held == [before]
