"""A session ends by itself, on the server, after hours without use and after days in any case."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.people import idle

pytestmark = pytest.mark.django_db
START = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


class Clock:
    """Stands where it is set."""

    def __init__(self) -> None:
        self.at = START

    def now(self) -> datetime:
        return self.at


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(idle, "timezone", clock)
    return clock


@pytest.fixture
def visitor(client: Client, three: Any) -> Client:
    client.force_login(three.insider)
    return client


def is_in(visitor: Client) -> bool:
    return visitor.get(reverse("two_edges")).status_code == 200


def test_twelve_hours_without_use_end_a_session(visitor: Client, clock: Clock) -> None:
    assert is_in(visitor)
    clock.at += 12 * HOUR
    assert is_in(visitor)
    clock.at += 12 * HOUR + timedelta(minutes=1)
    old = visitor.cookies["sessionid"].value
    assert visitor.get(reverse("api_recipes")).status_code == 401
    visitor.cookies["sessionid"] = old
    clock.at -= 6 * HOUR
    assert not is_in(visitor), "an old cookie is worth nothing"


def test_thirty_days_end_it_in_any_case(visitor: Client, clock: Clock) -> None:
    for _ in range(3 * 30):
        assert is_in(visitor)
        clock.at += 8 * HOUR
    assert is_in(visitor)
    clock.at += HOUR
    assert not is_in(visitor)


def test_use_is_written_down_now_and_then_only(visitor: Client, clock: Clock) -> None:
    assert visitor.get(reverse("cautions")).status_code == 200
    seen = visitor.session[idle.SEEN]
    clock.at += timedelta(minutes=4)
    assert visitor.get(reverse("cautions")).status_code == 200
    assert visitor.session[idle.SEEN] == seen
    clock.at += timedelta(minutes=2)
    assert visitor.get(reverse("cautions")).status_code == 200
    assert visitor.session[idle.SEEN] == seen + 360


def test_a_clock_set_back_throws_nobody_out(visitor: Client, clock: Clock) -> None:
    assert is_in(visitor)
    clock.at -= HOUR
    assert is_in(visitor)
    clock.at += 12 * HOUR
    assert is_in(visitor)
