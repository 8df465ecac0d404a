"""How long a case takes a person: the time on it, not the wait for a connection."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from trainer.drills.models import Answer, Grade
from trainer.progress.counts import LONGEST_S, seconds_taken, times_of
from trainer.progress.day_set import _minutes

ISSUED = datetime(2026, 3, 1, 9, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@pytest.mark.parametrize(
    ("answered", "received", "seconds"),
    [
        (2 * MINUTE, 2 * MINUTE, 120.0),
        (2 * MINUTE, timedelta(hours=5), 120.0),
        (-90 * MINUTE, 3 * MINUTE, 180.0),
        (timedelta(days=30), 3 * MINUTE, 180.0),
        (40 * MINUTE, 41 * MINUTE, None),
        (timedelta(), timedelta(), None),
    ],
)
def test_the_device_tells_how_long_unless_its_clock_cannot_be_right(
    answered: timedelta, received: timedelta, seconds: float | None
) -> None:
    assert seconds_taken(ISSUED, ISSUED + answered, ISSUED + received) == seconds
    assert LONGEST_S == 30 * 60


def test_waiting_without_a_connection_is_no_time_on_a_case(attempt_row: Callable[..., Any], three: Any) -> None:
    for minutes in (1, 2, 6):
        attempt = attempt_row(three.insider, issued_at=ISSUED)
        answer = Answer.objects.create(
            attempt=attempt, client_key=uuid.uuid4(), body={}, sureness=2,
            answered_at=ISSUED + minutes * MINUTE, received_at=ISSUED + 25 * MINUTE,
        )  # fmt: skip
        Grade.objects.create(
            answer=answer, credit=1.0, verdict="holds", body={"evidence": []}, engine="1", standard="house-1",
            made_at=ISSUED + 25 * MINUTE,
        )  # fmt: skip
    assert [(one.kind, one.median_s, one.count) for one in times_of(three.insider)] == [("place", 120.0, 3)]
    assert _minutes(three.insider, {"place"}) == {"place": 2.0}
