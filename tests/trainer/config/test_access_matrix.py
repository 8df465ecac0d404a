"""Every address of the site x every kind of visitor, generated from the resolver: a new address needs a row here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

OPEN, SIGNED_IN, OWN = "open to all", "for whoever is signed in", "for the person whose attempt it is"
LEADING = "for whoever leads a team"
LATER = "for the person whose attempt it is, after its grade or under a name that cannot be guessed"
GET, POST, PUT = "get", "post", "put"

MATRIX: dict[str, tuple[str, str]] = {
    "account_login": (OPEN, GET),
    "account_logout": (OPEN, GET),
    "account_inactive": (OPEN, GET),
    "account_signup": (OPEN, GET),
    "account_reauthenticate": (SIGNED_IN, GET),
    "account_change_password": (SIGNED_IN, GET),
    "account_reset_password": (OPEN, GET),
    "account_reset_password_done": (OPEN, GET),
    "account_reset_password_from_key": (OPEN, GET),
    "account_reset_password_from_key_done": (OPEN, GET),
    "api_recipes": (SIGNED_IN, GET),
    "api_survey": (SIGNED_IN, POST),
    "api_attempts": (SIGNED_IN, POST),
    "api_attempt": (OWN, GET),
    "api_answer": (OWN, PUT),
    "api_grade": (OWN, GET),
    "api_what_if": (OWN, POST),
    "api_schema": (SIGNED_IN, GET),
    "healthz": (OPEN, GET),
    "readyz": (OPEN, GET),
    "work": (LEADING, GET),
    "today": (OPEN, GET),
    "record": (SIGNED_IN, GET),
    "settings": (SIGNED_IN, GET),
    "offline": (OPEN, GET),
    "offline_worker": (OPEN, GET),
    "places": (SIGNED_IN, GET),
    "try": (SIGNED_IN, GET),
    "cautions": (OPEN, GET),
    "patterns": (SIGNED_IN, GET),
    "drills": (SIGNED_IN, GET),
    "start": (SIGNED_IN, POST),
    "attempt": (OWN, GET),
    "send": (OWN, POST),
    "graded": (OWN, GET),
    "what_if": (OWN, POST),
    "own_frame": (SIGNED_IN, GET),
    "own_frame_look": (SIGNED_IN, POST),
    "own_frame_held": (SIGNED_IN, GET),
    "own_frame_held_picture": (SIGNED_IN, GET),
    "own_frame_keep": (SIGNED_IN, POST),
    "own_frame_discard": (SIGNED_IN, POST),
    "own_frame_kept": (OWN, GET),
    "own_frame_kept_picture": (OWN, GET),
    "own_frame_delete": (OWN, POST),
    "picture": (LATER, GET),
    "look_round": (LATER, GET),
    "look_round_from": (LATER, GET),
    "bench": (SIGNED_IN, GET),
    "bench_numbers": (SIGNED_IN, GET),
    "bench_curve": (SIGNED_IN, GET),
    "bench_picture": (SIGNED_IN, GET),
}
LOOK_BODY: dict[str, Any] = {
    "file": {"kind": "JPEG", "width_px": 2048, "height_px": 1024, "read_width_px": 2048, "notes": []},
    "look": {
        key: {"what": key, "why": "flat", "traces": []}
        for key in ("tilt", "seams", "sectors", "sharpness", "veil", "clipping", "metadata")
    },
}
"""A look that could tell nothing."""
FILLED = {
    "slug": "two-rooms",
    "recipe": "two-rooms-place",
    "uidb36": "1",
    "key": "no-such-key",
    "token": "0" * 32,
    "part": "1024",
    "stand": "station-1",
    "setup": "e30",
    "name": "frame",
}


def patterns(resolver: Any) -> Iterator[URLPattern]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern)
        else:
            yield pattern


def address(name: str, attempt_id: Any) -> str:
    for parts in (
        [],
        ["slug"],
        ["recipe"],
        ["attempt_id"],
        ["look_id"],
        ["attempt_id", "token", "part"],
        ["attempt_id", "stand"],
        ["setup", "name", "part"],
        ["uidb36", "key"],
    ):
        try:
            return reverse(name, kwargs={part: FILLED.get(part, attempt_id) for part in parts})
        except NoReverseMatch:
            continue
    raise AssertionError(f"{name} has a part that this test cannot fill")


def ask(client: Client, name: str, attempt_id: Any) -> int:
    method = MATRIX[name][1]
    where = address(name, attempt_id)
    extra: dict[str, Any] = {"data": b"{}", "content_type": "application/json"} if where.startswith("/api/") else {}
    return int(getattr(client, method)(where, **({} if method == GET else extra)).status_code)


def test_every_address_has_a_row_and_every_row_an_address() -> None:
    assert {pattern.name for pattern in patterns(get_resolver())} == set(MATRIX)


@pytest.fixture
def kept(issued: Any, three: Any) -> Any:
    """A kept look of the insider, under the number of the open attempt."""
    from trainer.looks.models import Look

    return Look.objects.create(pk=issued.pk, person=three.insider, body=LOOK_BODY, made_at=issued.issued_at)


@pytest.mark.django_db
@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize("name", MATRIX)
@pytest.mark.parametrize("visitor", ["anonymous", "insider", "mate", "outsider", "trainer"])
def test_it_lets_in_whom_it_should(visitor: str, name: str, client: Client, issued: Any, three: Any) -> None:
    if visitor != "anonymous":
        client.force_login(getattr(three, visitor))
    status = ask(client, name, issued.pk)
    rule = MATRIX[name][0]
    if (
        rule == OPEN
        or (visitor, rule) in {("insider", OWN), ("trainer", LEADING)}
        or (visitor != "anonymous" and rule == SIGNED_IN)
    ):
        assert status not in {401, 403, 404}
        assert status < 500 or name == "readyz" or (status == 503 and name.startswith("bench")), (
            "no worker is alive here, and it says so; what is being computed is asked for again"
        )
    elif visitor == "anonymous":
        assert status == (401 if name.startswith("api_") else 302)
    else:
        assert status == 404, "somebody else's attempt is not there at all"


@pytest.mark.django_db
@pytest.mark.parametrize("name", [name for name, (_, method) in MATRIX.items() if method != GET])
def test_nothing_changes_by_reading(name: str, client: Client, issued: Any, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(address(name, issued.pk)).status_code == 405


@pytest.mark.django_db
@pytest.mark.parametrize("name", [name for name, (_, method) in MATRIX.items() if method != GET])
def test_every_change_needs_the_token_of_the_site(name: str, issued: Any, three: Any) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(three.insider)
    assert ask(strict, name, issued.pk) == 403
