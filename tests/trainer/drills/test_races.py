"""Races, with real threads on real connections: one attempt, one answer, one grade, whoever is first."""

from __future__ import annotations

import threading
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection

from trainer.drills.answer import AlreadyAnswered, answer
from trainer.drills.issue import issue
from trainer.drills.models import Answer, Attempt, Entry, Grade
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record

pytestmark = pytest.mark.django_db(transaction=True)

NOW = datetime(2026, 3, 1, 10, 0, tzinfo=UTC)
THREADS = 8
ROUNDS = 5


def at_once(work: Callable[[int], Any]) -> list[Any]:
    """Do the work in several threads that start together; what each came to, exceptions included."""
    barrier = threading.Barrier(THREADS)
    found: list[Any] = [None] * THREADS

    def run(number: int) -> None:
        try:
            barrier.wait()
            found[number] = work(number)
        except Exception as error:
            found[number] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def send(attempt: Attempt, key: uuid.UUID, stations: int) -> Any:
    body = {"stations": [{"level": 0, "x": 1.0 + 0.1 * number, "y": 1.0} for number in range(stations)]}
    fresh = Attempt.objects.get(pk=attempt.pk)
    return answer(fresh, client_key=key, body=body, sureness=1, answered_at=NOW, now=NOW)


def test_the_same_answer_from_many_hands_is_one_grade(stocked: Any, three: Any) -> None:
    for _ in range(3):
        attempt = issue(three.insider, "two-rooms-place", "drill", NOW).attempt
        key = uuid.uuid4()
        found = at_once(lambda number, attempt=attempt, key=key: send(attempt, key, 1))  # type: ignore[misc]
        assert len({str(one.grade.body) for one in found}) == 1
        assert sum(not one.repeat for one in found) == 1
    assert (Answer.objects.count(), Grade.objects.count(), Entry.objects.count()) == (3, 3, 3)


def test_of_many_different_answers_one_counts_and_the_rest_learn_which(stocked: Any, three: Any) -> None:
    attempt = issue(three.insider, "two-rooms-place", "drill", NOW).attempt
    found = at_once(lambda number: send(attempt, uuid.uuid4(), number))
    stood = [one for one in found if not isinstance(one, Exception)]
    refused = [one for one in found if isinstance(one, AlreadyAnswered)]
    assert (len(stood), len(refused)) == (1, THREADS - 1)
    assert {one.grade.pk for one in refused} == {stood[0].grade.pk}
    assert Grade.objects.count() == 1


def test_many_taps_open_one_attempt(stocked: Any, three: Any) -> None:
    found = at_once(lambda number: issue(three.insider, "two-rooms-place", "drill", NOW))
    assert len({one.attempt.pk for one in found}) == 1
    assert sum(one.fresh for one in found) == 1


def test_folding_from_many_hands_counts_each_entry_once(graded_row: Callable[..., Any], three: Any) -> None:
    for _ in range(6):
        graded_row(three.insider, {"D1": 0.5})
    assert sum(at_once(lambda number: catch_up())) == 6
    assert Record.objects.get().n == 6
