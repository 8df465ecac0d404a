"""What is on the shelf is read once a request, and afresh outside of one or after a change."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import Three
from trainer.library import shelf
from trainer.library.at_hand import at_hand_middleware
from trainer.library.shelf import Entry, take_in

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, tzinfo=UTC)


def in_a_request(work: Callable[[], object]) -> None:
    def view(request: HttpRequest) -> HttpResponse:
        work()
        return HttpResponse()

    at_hand_middleware(view)(HttpRequest())


def names_twice() -> None:
    assert shelf.names("floor") == shelf.names("floor") != []
    assert [shelf.address_of("floor", name) for name in shelf.names("floor")]


def test_a_request_asks_the_database_once(entries: list[Entry], django_assert_num_queries: Any) -> None:
    take_in(entries, NOW)
    with django_assert_num_queries(1):
        in_a_request(names_twice)


def test_outside_of_a_request_nothing_is_kept(entries: list[Entry], django_assert_num_queries: Any) -> None:
    take_in(entries, NOW)
    in_a_request(names_twice)
    with django_assert_num_queries(2):
        shelf.names("floor")
        shelf.names("floor")


def test_what_is_taken_in_during_a_request_is_seen_in_it(entries: list[Entry]) -> None:
    kits = [entry for entry in entries if entry.what == "kit"]
    seen: list[list[str]] = []

    def work() -> None:
        take_in(kits[:1], NOW)
        seen.append(shelf.names("kit"))
        take_in(kits, NOW)
        seen.append(shelf.names("kit"))

    in_a_request(work)
    assert seen == [[kits[0].name], sorted(entry.name for entry in kits)]


def test_a_page_of_the_bench_asks_for_each_form_once(three: Three, entries: list[Entry], client: Client) -> None:
    take_in(entries, NOW)
    client.force_login(three.insider)
    with CaptureQueriesContext(connection) as asked:
        assert client.get("/bench/").status_code == 200
    of_the_shelf = [one["sql"] for one in asked if '"library_edition"."firm_id" IS NULL' in one["sql"]]
    assert len(of_the_shelf) == len(set(of_the_shelf)) > 0
