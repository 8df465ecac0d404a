"""While an attempt is open, nothing that the site sends holds anything of its key."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from tests.browser.driving import Site, rooms_of
from tests.ways import second
from trainer.drills.models import Attempt
from trainer.renders.models import Variation

DIGITS = 6
CANARY_NUMBER = 0.918273
PLAIN = re.compile(r"-?\d+(?:\.\d+)?")


def numbers_of(value: Any) -> Iterator[float]:
    """Every number of a JSON value that is long enough to be told from chance."""
    if isinstance(value, dict):
        for item in value.values():
            yield from numbers_of(item)
    elif isinstance(value, list):
        for item in value:
            yield from numbers_of(item)
    elif isinstance(value, float) and len(f"{abs(value):.{DIGITS}f}".rstrip("0")) >= DIGITS:
        yield value


def words_of(value: Any) -> Iterator[str]:
    """Every text of a JSON value that is long enough to be told from chance."""
    if isinstance(value, dict):
        for item in value.values():
            yield from words_of(item)
    elif isinstance(value, list):
        for item in value:
            yield from words_of(item)
    elif isinstance(value, str) and len(value) >= 12:
        yield value


def plant(kind: str) -> str:
    """Put a word and a number that occur nowhere else into the key of the case in stock."""
    canary = f"canary-{uuid.uuid4().hex}"
    row = Variation.objects.get(task__kind=kind)
    row.task["key"]["canary"] = {"word": canary, "number": CANARY_NUMBER}
    row.save(update_fields=["task"])
    return canary


@pytest.mark.parametrize("kind", ["place", "join", *second("thin", "stand", "threshold")])
def test_no_response_of_an_open_attempt_holds_anything_of_its_key(
    site: Site, kind: str, tap_plan: Callable[..., None]
) -> None:
    site.stock(kind)
    canary = plant(kind)
    page = site.page()
    heard: list[tuple[str, str]] = []
    page.on("response", lambda reply: heard.append(whole(reply)))
    address = site.start(page, kind)
    tap_plan(page, *rooms_of(page)[0]["spot"])
    for path in ("/my-record/", "/", "/drills/"):
        page.goto(site.url + path)
    attempt = Attempt.objects.get(kind=kind)
    api = f"{site.url}/api/attempts/{attempt.pk}/"
    for path in (api, f"{api}grade/", f"{address}grade/", f"{site.url}/api/recipes/"):
        heard.append(whole(page.request.get(path)))

    public = json.dumps(attempt.public)
    shown = {float(n) for n in PLAIN.findall(public)}
    secret = {f"{n:.{DIGITS}f}".rstrip("0") for n in numbers_of(attempt.key) if n not in shown}
    secret |= {word for word in words_of(attempt.key) if word not in public}
    secret |= {str(attempt.seed), attempt.fingerprint}
    assert {canary, str(CANARY_NUMBER)} <= secret
    leaks = [(one, url) for url, text in heard for one in secret if one in text]
    assert not leaks, f"{kind}: {leaks[:5]}"
    drawn = [
        url
        for url, text in heard
        if re.search("role-(?:reference|missing|seen|unseen|link)", text) and "/static/" not in url
    ]
    assert not drawn, "no picture of an answer before the grade"


def whole(reply: Any) -> tuple[str, str]:
    """Address, headers and body of a response as one text."""
    try:
        body = reply.body().decode(errors="replace")
    except Exception:
        body = ""  # a redirect has none
    return reply.url, " ".join(f"{k}: {v}" for k, v in reply.headers.items()) + "\n" + body
