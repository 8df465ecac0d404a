"""Pages for what goes wrong: they parse, say what to do, and tell nothing about the machine."""

from __future__ import annotations

from typing import Any

import html5lib
import pytest
from django.template.loader import render_to_string
from django.test import Client, RequestFactory

pytestmark = pytest.mark.django_db


def parses(text: str) -> None:
    html5lib.HTMLParser(strict=True).parse(text)


def test_an_unknown_address_is_not_here_for_anybody(client: Client, three: Any) -> None:
    for who in (None, three.insider):
        if who is not None:
            client.force_login(who)
        reply = client.get("/no/such/page/")
        assert reply.status_code == 404
        assert "There is nothing here" in reply.content.decode()
        parses(reply.content.decode())


def test_a_page_too_old_to_send_from_says_so(three: Any) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(three.insider)
    reply = client.post("/settings/", {"units": "ft"})
    assert reply.status_code == 403
    assert "too old to send from" in reply.content.decode()
    parses(reply.content.decode())


@pytest.mark.parametrize("name", ["400.html", "403.html", "500.html"])
def test_the_other_error_pages_parse(name: str) -> None:
    parses(render_to_string(name, request=RequestFactory().get("/")))


@pytest.mark.parametrize("name", ["500.html", "503.html"])
def test_the_pages_for_our_own_faults_need_nothing_that_could_be_broken_and_lead_on(name: str) -> None:
    page = render_to_string(name)
    parses(page)
    assert 'or <a href="/">go to the first page</a>' in page
