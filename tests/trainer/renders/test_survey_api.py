"""Trying out: what stations show and link, with shapes to draw; nothing of it is kept."""

from __future__ import annotations

from contextlib import ExitStack
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.drills.models import Attempt, Entry
from trainer.renders.models import Result
from trainer.renders.seats import SEATS, seat

pytestmark = pytest.mark.django_db


def survey(client: Client, stations: Any, kit: str = "heron-three", floor: str = "two-rooms") -> Any:
    where = reverse("api_survey", args=[floor])
    return client.post(where, {"kit": kit, "stations": stations}, content_type="application/json")


@pytest.fixture
def signed_in(client: Client, stocked: Any, three: Any) -> Client:
    client.force_login(three.insider)
    return client


def test_it_shows_floor_links_and_islands(signed_in: Client) -> None:
    reply = survey(signed_in, [{"level": 0, "x": 1.4, "y": 1.25}, {"level": 0, "x": 4.9, "y": 1.25}])
    assert reply.status_code == 200
    found = reply.json()
    assert found["islands"] == [[1, 2]]
    assert found["links"][0]["holds"] is True
    assert {cover["space"] for cover in found["covers"]} == {"hall", "den"}
    assert {"seen-once", "link"} <= {shape["role"] for shape in found["shapes"]}
    assert not Attempt.objects.exists()
    assert not Entry.objects.exists()


def test_it_waits_for_a_seat_when_others_try_things_out(signed_in: Client) -> None:
    with ExitStack() as others:
        for _ in range(SEATS):
            others.enter_context(seat())
        reply = survey(signed_in, [])
    assert (reply.status_code, reply.headers["Retry-After"]) == (503, "1")
    assert reply.json()["detail"].startswith("Others are trying things out just now.")
    assert survey(signed_in, []).status_code == 200


def test_the_heavy_part_is_computed_once(signed_in: Client) -> None:
    survey(signed_in, [])
    stored = Result.objects.get()
    survey(signed_in, [{"level": 0, "x": 1.0, "y": 1.0}])
    assert Result.objects.get() == stored


def test_losing_what_was_computed_changes_nothing(signed_in: Client) -> None:
    stations = [{"level": 0, "x": 1.4, "y": 1.25}]
    before = survey(signed_in, stations).json()
    Result.objects.all().delete()
    assert survey(signed_in, stations).json() == before


@pytest.mark.parametrize(
    "stations",
    [
        "here",
        [{"level": 0, "x": 1.0}],
        [{"level": 0, "x": 1e308, "y": 0.0}],
        [{"level": 3, "x": 1.0, "y": 1.0}],
        [{"level": 0, "x": "a", "y": 1.0}],
        [{"level": 0, "x": 1.0, "y": 1.0}] * 61,
    ],
    ids=lambda stations: str(stations)[:40],
)
def test_hostile_stations_are_refused_with_a_reason(stations: Any, signed_in: Client) -> None:
    reply = survey(signed_in, stations)
    assert reply.status_code == 400
    assert reply.json()


def test_an_unknown_floor_or_kit_is_not_there(signed_in: Client) -> None:
    assert survey(signed_in, [], floor="no-such-floor").status_code == 404
    assert survey(signed_in, [], kit="no-such-kit").status_code == 404
