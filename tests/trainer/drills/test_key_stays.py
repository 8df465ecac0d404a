"""Before its grade nothing of a key leaves the server: every address is walked, and every reply is searched."""

from __future__ import annotations

import uuid
from collections.abc import Container, Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from scoring.drill import Json, canonical_json
from tests.ways import second

pytestmark = pytest.mark.django_db


def names(resolver: Any) -> Iterator[str]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from names(pattern)
        elif isinstance(pattern, URLPattern) and pattern.name and not pattern.name.startswith("account_"):
            yield pattern.name


FILLED = {
    "recipe": "two-rooms-place", "slug": "two-rooms", "token": "0" * 32, "part": "1024", "stand": "station-1",
    "setup": "e30", "name": "frame", "code": "no-such-code", "skill": "D1", "kit": "heron-three",
}  # fmt: skip
"""What stands in the parts of addresses; every other part is the number of the attempt."""


def addresses(attempt_id: uuid.UUID) -> list[str]:
    found = []
    for name in names(get_resolver()):
        [(_, parts)] = get_resolver().reverse_dict.getlist(name)[0][0]
        found.append(reverse(name, kwargs={part: FILLED.get(part, attempt_id) for part in parts}))
    return found


def telling_numbers(key: Json, public: Json) -> set[str]:
    """Numbers of a key with three decimals or more that its public part does not hold: finding one is no chance."""

    def numbers(value: Json) -> Iterator[str]:
        if isinstance(value, dict):
            for item in value.values():
                yield from numbers(item)
        elif isinstance(value, list):
            for item in value:
                yield from numbers(item)
        elif isinstance(value, float) and len(repr(value).partition(".")[2]) >= 3:
            yield repr(value)

    shown = canonical_json(public)
    return {number for number in numbers(key) if number not in shown}


def replies(client: Client, attempt_id: uuid.UUID, *, leave_out: Container[str] = ()) -> Iterator[tuple[str, str]]:
    stations = {"stations": [{"level": 0, "x": 1.0, "y": 1.0}]}
    other = {"client_key": "not-a-key", "answer": stations, "sureness": 9, "answered_at": "never"}
    for where in addresses(attempt_id):
        if where in leave_out:
            continue
        json_body = {"content_type": "application/json"}
        for reply in (
            client.get(where),
            client.head(where),
            client.options(where),
            client.post(where, {"answer": stations}, **json_body),
            client.put(where, other, **json_body),
            client.post(where, {"client_key": "x", "sureness": "9"}),
        ):
            yield (
                f"{reply.request['REQUEST_METHOD']} {where}",
                "\n".join(
                    [
                        *(f"{name}: {value}" for name, value in reply.headers.items()),
                        str(reply.cookies),
                        reply.content.decode(errors="replace"),
                    ]
                ),
            )


@pytest.mark.parametrize("who", ["insider", "outsider", *second("mate")])
def test_no_reply_holds_anything_of_the_key(who: str, client: Client, issued: Any, three: Any) -> None:
    secret = telling_numbers(issued.key, issued.public)
    assert "86753.0921" in secret
    client.force_login(getattr(three, who))
    searched = list(replies(client, issued.pk))
    leaks = [(where, number) for where, text in searched for number in secret if number in text]
    assert not leaks
    named = [where for where, text in searched for word in ('"key":', "canary", "fingerprint") if word in text]
    assert not named
    issued.refresh_from_db()
    assert not hasattr(issued, "answer"), "the walk must not have closed the attempt"
    assert len(searched) > 100


def test_the_grade_of_an_open_attempt_is_not_there_yet(client: Client, issued: Any, three: Any) -> None:
    client.force_login(three.insider)
    reply = client.get(reverse("api_grade", args=[issued.pk]))
    assert (reply.status_code, reply.json()["stands"]) == (409, None)
    what_if = client.post(
        reverse("api_what_if", args=[issued.pk]), {"answer": {"stations": []}}, content_type="application/json"
    )
    assert what_if.status_code == 409
