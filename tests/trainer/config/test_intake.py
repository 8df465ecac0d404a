"""What the API takes in is bounded before any view sees it: bytes, depth, numbers, form."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.config.intake import BYTES_MAX

pytestmark = pytest.mark.django_db


def post(client: Client, body: bytes, content_type: str = "application/json") -> Any:
    return client.post(reverse("api_attempts"), body, content_type=content_type)


@pytest.fixture
def signed_in(client: Client, three: Any) -> Client:
    client.force_login(three.insider)
    return client


@pytest.mark.parametrize(
    "body",
    [
        pytest.param(b"[" * 30_000, id="deep lists"),
        pytest.param(b'{"a":' * 12_000, id="deep objects"),
        pytest.param(b'{"recipe": "x", "more": ' + b"[" * 100 + b"]" * 100 + b"}", id="deep and closed"),
        pytest.param(b'{"recipe": "x", "more": 1e999}', id="a number beyond all bounds"),
        pytest.param(b'{"recipe": "x", "more": -1e999}', id="a negative number beyond all bounds"),
        pytest.param(b'{"recipe": "x", "more": NaN}', id="not a number"),
        pytest.param(b'{"recipe": "x", "more": Infinity}', id="infinity"),
        pytest.param(b'{"recipe": "x", "more": ' + b"9" * 5000 + b"}", id="a whole number of 5,000 digits"),
        pytest.param(b'{"recipe": "\xff\xfe"}', id="no UTF-8"),
        pytest.param(b'{"recipe": "\\ud800"}', id="half a character pair"),
        pytest.param(b'{"recipe": "a\\u0000b"}', id="a NUL"),
        pytest.param(b'{"recipe": "x", "recipe": "y"}', id="a key twice"),
        pytest.param(b"[1, 2]", id="a list"),
        pytest.param(b'"text"', id="a text"),
        pytest.param(b"", id="nothing"),
        pytest.param(b"{", id="cut off"),
        pytest.param(b'{"recipe": ["x"]}', id="a wrong type"),
        pytest.param(b'{"recipe": "../../etc/passwd"}', id="a path"),
        pytest.param(b'{"recipe": "x", "mode": "try"}', id="a mode that is not kept"),
    ],
)
def test_it_refuses_hostile_json_with_a_reason(body: bytes, signed_in: Client) -> None:
    reply = post(signed_in, body)
    assert reply.status_code == 400
    assert reply.json()


def test_it_refuses_more_bytes_than_an_answer_needs(signed_in: Client) -> None:
    reply = post(signed_in, b'{"recipe": "' + b"x" * BYTES_MAX + b'"}')
    assert reply.status_code == 413
    assert str(BYTES_MAX) in reply.json()["detail"]


@pytest.mark.parametrize("content_type", ["text/plain", "application/xml", "multipart/form-data; boundary=x"])
def test_it_takes_json_only(content_type: str, signed_in: Client) -> None:
    assert post(signed_in, b"<a/>", content_type).status_code == 415


def test_a_recipe_that_is_not_there_is_said_to_be_missing(signed_in: Client) -> None:
    reply = post(signed_in, b'{"recipe": "nothing-of-this-name"}')
    assert (reply.status_code, reply.json()) == (404, {"detail": "there is no recipe named 'nothing-of-this-name'"})


def test_a_change_needs_the_token_of_the_site(three: Any) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(three.insider)
    assert post(strict, b'{"recipe": "x"}').status_code == 403


def test_a_method_cannot_be_smuggled_in(signed_in: Client) -> None:
    reply = signed_in.get(reverse("api_attempts"), headers={"X-HTTP-Method-Override": "POST"})
    assert reply.status_code == 405
