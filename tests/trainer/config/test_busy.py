"""A database that stays locked is said to be busy, and reading goes on."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.db.utils import OperationalError
from django.test import Client, RequestFactory
from django.urls import reverse

from trainer.config.busy import RETRY_AFTER_S, BusyMiddleware


def middleware() -> BusyMiddleware:
    def view(request: Any) -> Any:
        raise AssertionError("not called here")

    return BusyMiddleware(view)


def test_it_says_when_to_come_back() -> None:
    reply = middleware().process_exception(RequestFactory().get("/"), OperationalError("database is locked"))
    assert reply is not None
    assert (reply.status_code, reply.headers["Retry-After"]) == (503, str(RETRY_AFTER_S))


def test_a_person_reads_it_on_a_page_and_a_script_as_json() -> None:
    busy = OperationalError("database is locked")
    page = middleware().process_exception(RequestFactory().get("/", headers={"Accept": "text/html,*/*"}), busy)
    script = middleware().process_exception(RequestFactory().get("/", headers={"Accept": "*/*"}), busy)
    assert page is not None
    assert script is not None
    assert (page.status_code, page.headers["Retry-After"]) == (503, str(RETRY_AFTER_S))
    assert "The site is busy" in page.content.decode()
    assert script.headers["Content-Type"] == "application/json"


@pytest.mark.parametrize("error", [ValueError("x"), KeyError("y")])
def test_it_leaves_other_errors_alone(error: Exception) -> None:
    assert middleware().process_exception(RequestFactory().get("/"), error) is None


@pytest.mark.django_db
def test_a_database_that_is_away_before_any_view_is_busy_too(client: Client, three: Any) -> None:
    def away(*asked: Any) -> Any:
        raise OperationalError("the server is starting up")

    client.force_login(three.insider)
    with connection.execute_wrapper(away):
        page = client.get(reverse("settings"), headers={"Accept": "text/html"})
        script = client.get(reverse("api_recipes"))
    assert (page.status_code, page.headers["Retry-After"]) == (503, str(RETRY_AFTER_S))
    assert "The site is busy" in page.content.decode()
    assert (script.status_code, script.headers["Content-Type"]) == (503, "application/json")
    assert client.get(reverse("settings")).status_code == 200
