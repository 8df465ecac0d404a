"""The first page and one's own record."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from trainer.progress.pages import BOOK

pytestmark = pytest.mark.django_db


def read(client: Client, name: str, *parts: str) -> str:
    reply = client.get(reverse(name, args=parts))
    assert reply.status_code == 200
    text = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def client_of(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_passer_by_reads_what_this_is_and_how_to_start(client: Client) -> None:
    page = read(client, "today")
    assert "Sign in and start" in page
    assert "360-degree" in page


def test_somebody_new_has_one_thing_to_do(stocked: Any, three: Any) -> None:
    page = read(client_of(three.insider), "today")
    assert page.count("Start the first case") == 1
    assert reverse("start", args=["two-rooms-place"]) in page


def test_an_open_attempt_is_what_one_goes_on_with(issued: Any, three: Any) -> None:
    assert reverse("attempt", args=[issued.pk]) in read(client_of(three.insider), "today")
    assert reverse("attempt", args=[issued.pk]) not in read(client_of(three.mate), "today")


def test_an_empty_shelf_is_said_plainly(three: Any) -> None:
    assert "No drill is on the shelf yet" in read(client_of(three.insider), "today")


def test_ones_record_has_a_row_per_skill_with_its_n(three: Any, graded_row: Callable[..., Any]) -> None:
    graded_row(three.insider, {"D1": 0.5, "D2": 1.0})
    graded_row(three.insider, {"D1": 1.0})
    page = read(client_of(three.insider), "record")
    assert "75\u00a0%, n&nbsp;=&nbsp;2" in page
    assert "100\u00a0%, n&nbsp;=&nbsp;1" in page
    assert "Enough, not too many" in page
    assert "Not enough evidence: about 4 more cases" in page
    assert page.count('<li class="cell') == 28


def test_a_skill_opens_the_graded_cases_behind_it(three: Any, graded_row: Callable[..., Any]) -> None:
    mine = graded_row(three.insider, {"D1": 0.5, "D2": 1.0})
    other = graded_row(three.mate, {"D1": 0.5})
    page = read(client_of(three.insider), "record_skill", "D1")
    assert "Enough, not too many" in page
    assert reverse("graded", args=[mine.pk]) in page
    assert reverse("graded", args=[other.pk]) not in page
    assert "50 of 100 points</span>" in page
    assert "None yet" in read(client_of(three.insider), "record_skill", "V1")
    assert "a trainer signs it" in read(client_of(three.insider), "record_skill", "G2")


def test_a_skill_that_is_not_on_the_map_is_not_there(three: Any) -> None:
    assert client_of(three.insider).get(reverse("record_skill", args=["Z9"])).status_code == 404


def test_many_cases_behind_a_skill_come_in_parts(three: Any, graded_row: Callable[..., Any]) -> None:
    rows = [graded_row(three.insider, {"D1": 0.5}) for _ in range(BOOK + 1)]
    client = client_of(three.insider)
    first, second = (
        client.get(reverse("record_skill", args=["D1"]), {"part": part}).content.decode() for part in (1, 2)
    )
    oldest = reverse("graded", args=[rows[0].pk])
    assert "Part 1 of 2" in first
    assert oldest not in first
    assert oldest in second


def test_nobody_elses_grades_are_in_ones_record(three: Any, graded_row: Callable[..., Any]) -> None:
    graded_row(three.mate, {"D1": 0.5})
    assert "Nothing is in your record yet" in read(client_of(three.insider), "record")
