"""A form sent after the session had ended: nothing is entered, that is said, and the way leads back to the form."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from trainer.people.signed_out import WORDS

pytestmark = pytest.mark.django_db


def back_to(client: Client, came_from: str) -> str:
    """Where signing in leads after a form was sent by somebody who is signed out."""
    reply = client.post(reverse("flag", args=["0" * 8 + "-0000-4000-8000-" + "0" * 12]), headers={"Referer": came_from})
    parts = urlsplit(reply["Location"])
    assert (reply.status_code, parts.path) == (302, reverse("account_login"))
    return parse_qs(parts.query)["next"][0]


def test_signing_in_leads_back_to_the_page_of_the_form_and_says_that_nothing_was_entered(client: Client) -> None:
    assert back_to(client, "http://testserver/attempts/7/grade/?part=2") == "/attempts/7/grade/?part=2"
    assert WORDS in client.get(reverse("account_login")).content.decode().replace("&#x27;", "'")


@pytest.mark.parametrize("came_from", ["", "https://elsewhere.example/x", "//elsewhere.example", "javascript:alert(1)"])
def test_it_leads_nowhere_else(came_from: str, client: Client) -> None:
    assert back_to(client, came_from) == "/"


def test_a_page_that_was_asked_for_comes_after_signing_in(client: Client, three: Any) -> None:
    page = client.get(reverse("settings"), headers={"Referer": "http://testserver/drills/"})
    assert parse_qs(urlsplit(page["Location"]).query)["next"] == [reverse("settings")]
    client.force_login(three.insider)
    assert client.post(reverse("settings"), {"units": "ft"})["Location"] == reverse("settings")
