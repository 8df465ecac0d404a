"""The API end to end: open an attempt, answer it once, read its grade, try other answers, for three people."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.drills.models import Answer, Attempt, Entry, Grade

pytestmark = pytest.mark.django_db


def post(client: Client, name: str, body: Any, *args: Any) -> Any:
    return client.post(reverse(name, args=args), body, content_type="application/json")


def put(client: Client, attempt_id: Any, answer: Any, key: uuid.UUID | None = None, **more: Any) -> Any:
    told = {
        "client_key": str(key or uuid.uuid4()),
        "answer": answer,
        "sureness": 3,
        "answered_at": "2026-03-01T10:00:00Z",
    }
    where = reverse("api_answer", args=[attempt_id])
    return client.put(where, {**told, **more}, content_type="application/json")


@pytest.fixture
def signed_in(client: Client, stocked: Any, three: Any) -> Client:
    client.force_login(three.insider)
    return client


@pytest.fixture
def opened(signed_in: Client) -> dict[str, Any]:
    reply = post(signed_in, "api_attempts", {"recipe": "two-rooms-place"})
    assert reply.status_code == 201
    return dict(reply.json())


def reference_of(attempt: dict[str, Any]) -> dict[str, Any]:
    stations = Attempt.objects.get(pk=attempt["id"]).key["reference"]["stations"]
    return {"stations": [{"level": level, "x": x, "y": y} for level, x, y in stations]}


def test_it_goes_from_task_to_grade(signed_in: Client, opened: dict[str, Any]) -> None:
    assert set(opened) == {"id", "recipe", "kind", "mode", "kit", "issued_at", "graded", "task"}
    assert {"plan", "kit", "title", "task", "limits", "given", "asks"} <= set(opened["task"])
    assert signed_in.get(reverse("api_attempt", args=[opened["id"]])).json() == opened
    graded = put(signed_in, opened["id"], reference_of(opened))
    assert graded.status_code == 200
    grade = graded.json()["grade"]
    assert grade["credit"] > 0.95
    assert all(mark["words"] for mark in grade["marks"])
    assert any(shape["role"] == "reference" for shape in grade["shapes"])
    assert signed_in.get(reverse("api_grade", args=[opened["id"]])).json() == graded.json()
    assert signed_in.get(reverse("api_attempt", args=[opened["id"]])).json()["graded"] is True


def test_a_repeat_gets_the_very_same_bytes(signed_in: Client, opened: dict[str, Any]) -> None:
    key = uuid.uuid4()
    first, again = (put(signed_in, opened["id"], reference_of(opened), key) for _ in range(2))
    assert first.content == again.content
    assert Answer.objects.count() == 1


def test_a_second_answer_is_told_which_grade_stands(signed_in: Client, opened: dict[str, Any]) -> None:
    first = put(signed_in, opened["id"], {"stations": []})
    second = put(signed_in, opened["id"], reference_of(opened))
    assert second.status_code == 409
    assert second.json()["stands"] == first.json()


def test_a_key_of_somebody_else_tells_nothing(signed_in: Client, opened: dict[str, Any], three: Any) -> None:
    key = uuid.uuid4()
    put(signed_in, opened["id"], {"stations": []}, key)
    other = Client()
    other.force_login(three.outsider)
    theirs = post(other, "api_attempts", {"recipe": "two-rooms-place"}).json()
    reply = put(other, theirs["id"], {"stations": []}, key)
    assert (reply.status_code, reply.json()["stands"]) == (409, None)


@pytest.mark.parametrize("who", ["mate", "outsider", "trainer"])
def test_nobody_answers_or_reads_for_somebody_else(
    who: str, signed_in: Client, opened: dict[str, Any], three: Any
) -> None:
    other = Client()
    other.force_login(getattr(three, who))
    assert put(other, opened["id"], {"stations": []}).status_code == 404
    assert other.get(reverse("api_grade", args=[opened["id"]])).status_code == 404
    assert post(other, "api_what_if", {"answer": {"stations": []}}, opened["id"]).status_code == 404
    assert not Answer.objects.exists()


def test_two_taps_open_one_attempt(signed_in: Client, opened: dict[str, Any]) -> None:
    again = post(signed_in, "api_attempts", {"recipe": "two-rooms-place"})
    assert (again.status_code, again.json()) == (200, opened)


def test_when_every_case_was_seen_it_says_when_to_come_back(signed_in: Client, opened: dict[str, Any]) -> None:
    attempt = opened
    for _ in range(3):
        put(signed_in, attempt["id"], {"stations": []})
        reply = post(signed_in, "api_attempts", {"recipe": "two-rooms-place"})
        attempt = reply.json()
    assert reply.status_code == 503
    assert int(reply.headers["Retry-After"]) > 0


@pytest.mark.parametrize(
    "more",
    [
        {"sureness": 4},
        {"sureness": "very"},
        {"client_key": "1"},
        {"client_key": None},
        {"answered_at": "yesterday"},
        {"answer": []},
        {"answer": None},
        {"answer": {"stations": [{"level": 0, "x": 1e308, "y": 0}]}},
        {"answer": {"stations": [{"level": 0, "x": 5000.0, "y": 0}]}},
        {"answer": {"stations": [{"level": -1, "x": 0, "y": 0}]}},
        {"answer": {"stations": [{"level": 0, "x": True, "y": 0}]}},
        {"answer": {"stations": [[0, 1, 2]]}},
        {"answer": {"stations": [{"level": 0, "x": 1, "y": 1}] * 900}},
        {"answer": {}},
    ],
    ids=lambda more: str(more)[:60],
)
def test_a_hostile_answer_is_refused_with_a_reason(more: Any, signed_in: Client, opened: dict[str, Any]) -> None:
    told = {
        "client_key": str(uuid.uuid4()),
        "answer": {"stations": []},
        "sureness": 3,
        "answered_at": "2026-03-01T10:00:00Z",
    }
    where = reverse("api_answer", args=[opened["id"]])
    reply = signed_in.put(where, {**told, **more}, content_type="application/json")
    assert reply.status_code == 400
    assert reply.json()
    assert not Answer.objects.exists()


def test_what_if_never_touches_the_ledger(signed_in: Client, opened: dict[str, Any]) -> None:
    stored = put(signed_in, opened["id"], {"stations": []}).json()
    tried = post(signed_in, "api_what_if", {"answer": reference_of(opened)}, opened["id"])
    assert tried.status_code == 200
    assert tried.json()["credit"] > stored["grade"]["credit"]
    assert signed_in.get(reverse("api_grade", args=[opened["id"]])).json() == stored
    assert (Answer.objects.count(), Grade.objects.count(), Entry.objects.count()) == (1, 1, 1)


def test_what_if_of_the_same_answer_is_the_same_grade(signed_in: Client, opened: dict[str, Any]) -> None:
    answer = {"stations": [{"level": 0, "x": 1.4, "y": 1.2}]}
    stored = put(signed_in, opened["id"], answer).json()["grade"]
    assert post(signed_in, "api_what_if", {"answer": answer}, opened["id"]).json() == stored


def test_opening_is_limited(signed_in: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    from rest_framework.throttling import SimpleRateThrottle

    monkeypatch.setattr(SimpleRateThrottle, "THROTTLE_RATES", {"user": "1200/min", "issue": "3/min"})
    replies = [post(signed_in, "api_attempts", {"recipe": "two-rooms-place"}).status_code for _ in range(5)]
    assert replies == [201, 200, 200, 429, 429]
