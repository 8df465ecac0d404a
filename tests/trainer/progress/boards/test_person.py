"""The page of one person, for those who follow them."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from trainer.progress.catch_up import catch_up

pytestmark = pytest.mark.django_db


def test_it_says_the_state_why_what_it_takes_and_opens_attempts(
    client: Client, three: Any, graded_row: Callable[..., Any]
) -> None:
    attempt = graded_row(three.insider, {"A2": 0.5})
    open_one = graded_row(three.mate, {"A2": 1.0})
    catch_up()
    client.force_login(three.trainer)
    page = client.get(f"/people/{three.insider.pk}/").content.decode()
    assert "In training" in page
    assert "Ready needs" in page
    assert "4 more cases on Level it" in page
    assert f"/attempts/{attempt.pk}/grade/" in page
    assert str(open_one.pk) not in page


def test_a_forecast_is_told_for_the_day_asked_and_for_a_day_that_can_be_read(
    client: Client, three: Any, graded_row: Callable[..., Any]
) -> None:
    graded_row(three.insider, {"A2": 1.0}, at=timezone.now())
    catch_up()
    client.force_login(three.trainer)
    day = timezone.now().date() + timedelta(days=90)
    page = client.get(f"/people/{three.insider.pk}/", {"on": day.isoformat()}).content.decode()
    assert f'value="{day:%Y-%m-%d}"' in page
    assert f"on {day.day} {day:%B %Y}:" in page
    for odd in ("yesterday", "1999-01-01", "9999-12-31"):
        assert client.get(f"/people/{three.insider.pk}/", {"on": odd}).status_code == 200


def bare(reply: Any) -> str:
    """A page without what differs from request to request."""
    return re.sub(r'(nonce|data-token|value)="[A-Za-z0-9+/=]{20,}"', "", reply.content.decode())


def test_who_does_not_follow_them_finds_nobody(client: Client, three: Any) -> None:
    foreign, missing = f"/people/{three.outsider.pk}/", f"/people/{uuid.uuid4()}/"
    client.force_login(three.trainer)
    assert client.get(foreign).status_code == client.get(missing).status_code == 404
    assert bare(client.get(foreign)) == bare(client.get(missing))
    client.force_login(three.mate)
    assert client.get(f"/people/{three.insider.pk}/").status_code == 404


def test_oneself_is_led_to_the_own_record(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(f"/people/{three.insider.pk}/").headers["Location"] == "/my-record/"
