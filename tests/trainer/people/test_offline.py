"""The server says which pages a phone may keep, for whom, and hands out the browser's worker."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.people.offline import MARK

pytestmark = pytest.mark.django_db


def test_open_work_and_the_first_page_may_be_kept(client: Client, issued: Any, three: Any) -> None:
    client.force_login(three.insider)
    marks = {client.get(path)[MARK] for path in (reverse("today"), reverse("attempt", args=[issued.pk]))}
    assert len(marks) == 1
    assert str(three.insider.pk) not in marks.pop()


def test_nothing_else_may(client: Client, issued: Any, three: Any) -> None:
    assert MARK not in client.get(reverse("today"))
    client.force_login(three.insider)
    for path in (reverse("record"), reverse("drills"), reverse("settings"), reverse("api_attempt", args=[issued.pk])):
        reply = client.get(path)
        assert reply.status_code == 200
        assert MARK not in reply
        assert "no-store" in reply["Cache-Control"]


def test_two_people_have_two_marks(client: Client, three: Any) -> None:
    marks = set()
    for person in (three.insider, three.mate, three.outsider):
        client.force_login(person)
        marks.add(client.get(reverse("today"))[MARK])
    assert len(marks) == 3


def test_the_worker_is_a_script_for_the_whole_site(client: Client) -> None:
    reply = client.get(reverse("offline_worker"))
    assert reply["Content-Type"].startswith("text/javascript")
    assert reply["Service-Worker-Allowed"] == "/"
    assert "worker-src 'self'" in reply["Content-Security-Policy"]
    assert b"addEventListener" in reply.content


def test_the_page_without_a_connection_is_nobodys(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    body = client.get(reverse("offline")).content.decode()
    assert three.insider.get_short_name() not in body
    assert "No connection" in body
