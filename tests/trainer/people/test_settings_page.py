"""One's own settings."""

from __future__ import annotations

from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db


@pytest.fixture
def insider(three: Any) -> Client:
    """The insider's browser."""
    client = Client()
    client.force_login(three.insider)
    return client


def test_units_are_kept_for_the_person_alone(insider: Client, three: Any) -> None:
    reply = insider.post(reverse("settings"), {"units": "ft", "email": "else@example.org", "is_active": ""})
    assert reply.status_code == 302
    three.insider.refresh_from_db()
    three.mate.refresh_from_db()
    assert (three.insider.units, three.mate.units) == ("ft", "m")
    assert three.insider.email == "insider@example.org", "nothing but the units can be set here"
    assert three.insider.is_active


def test_an_unknown_unit_is_refused(insider: Client, three: Any) -> None:
    assert insider.post(reverse("settings"), {"units": "cubit"}).status_code == 200
    three.insider.refresh_from_db()
    assert three.insider.units == "m"


@pytest.mark.parametrize("name", ["settings", "account_change_password", "account_logout"])
def test_its_pages_parse(insider: Client, name: str) -> None:
    reply = insider.get(reverse(name))
    assert reply.status_code == 200
    html5lib.HTMLParser(strict=True).parse(reply.content.decode())


@pytest.mark.parametrize(
    "name", ["account_login", "account_reset_password", "account_reset_password_done", "account_signup"]
)
def test_the_pages_before_signing_in_parse(client: Client, name: str) -> None:
    html5lib.HTMLParser(strict=True).parse(client.get(reverse(name)).content.decode())
