"""A form without scripts that comes back with a problem still holds all that was filled in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from trainer.drills.models import Answer, Attempt

pytestmark = pytest.mark.django_db
GIVEN = [{"level": 0, "x": 1.4, "y": 1.2}, {"level": 0, "x": 4.4, "y": 1.2}]
ROW = {"level-1": "0", "x-1": "1 m 20", "y-1": "1,5"}
ROWS = {**ROW, "level-2": "0", "x-2": "2", "y-2": ""}
FRAMES = [{"name": "frame", "what": "frame", "title": "Frame"}]
ASKED = [{"name": "verdict", "legend": "Keep it?", "options": [["keep", "Keep it"], ["redo", "Redo it"]]}]
FILLED: dict[str, dict[str, Any]] = {
    "place": ROWS,
    "join": {**ROWS, "island-1": "B", "island-2": "A"},
    "thin": {"remove": ["1", "2"]},
    "stand": {"stand-1": "refused", "why-1": "wall", "stand-2": "allowed"},
    "threshold": {**ROW, "from": "door"},
    "cue": {"azimuth-1": "twelve", "elevation-1": "−20°", "azimuth-2": "", "elevation-2": "5", "verdict": "redo"},
}
"""Kind -> what somebody filled in."""


@pytest.fixture
def opened(issued: Attempt, attempt_row: Callable[..., Any], three: Any) -> Callable[[str], Attempt]:
    """An open attempt of the insider at a case of a kind."""

    def open_one(kind: str) -> Attempt:
        public = {key: issued.public[key] for key in ("plan", "kit", "title", "task", "limits")}
        if kind == "cue":
            public |= {
                "frames": FRAMES,
                "kit": {"title": "A kit", "headings": 3},
                "asks": {"spots_most": 2, "choices": ASKED},
            }
        else:
            given = GIVEN if kind in {"join", "thin", "stand"} else []
            public |= {"given": given, "asks": {"reasons": {"glass": "too near glass", "wall": "too near a wall"}}}
        made: Attempt = attempt_row(three.insider, kind=kind, public=public, recipe=f"a-{kind}")
        return made

    return open_one


def held(page: bytes) -> dict[str, list[str]]:
    """What a browser would send of the attempt's form: values, ticks and chosen options, empty ones left out."""
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page.decode())
    form = next(one for one in tree.iter("form") if one.get("data-attempt"))
    found: dict[str, list[str]] = {}
    for field in form.iter():
        name, value = field.get("name", ""), field.get("value", "")
        if field.tag == "select":
            chosen = [one for one in field.iter("option") if one.get("selected") is not None]
            value = "".join(one.get("value") or one.text for one in chosen)
        elif field.tag != "input" or (field.get("type") in {"radio", "checkbox"} and field.get("checked") is None):
            continue
        if value and not name.startswith("csrf"):
            found.setdefault(name, []).append(value)
    return found


@pytest.mark.parametrize("kind", FILLED)
def test_nothing_that_was_filled_in_is_lost_to_a_problem(
    opened: Callable[[str], Attempt], three: Any, kind: str
) -> None:
    client = Client()
    client.force_login(three.insider)
    attempt = opened(kind)
    wanted = {name: value if isinstance(value, list) else [value] for name, value in FILLED[kind].items() if value}
    for sureness in ({}, {"sureness": "2"}) if kind in {"place", "join", "threshold", "cue"} else ({},):
        reply = client.post(reverse("send", args=[attempt.pk]), {**FILLED[kind], **sureness})
        assert reply.status_code == 400
        again = held(reply.content)
        assert {name: again.get(name) for name in wanted} == wanted
        assert not Answer.objects.exists()
    fresh = held(client.get(reverse("attempt", args=[attempt.pk])).content)
    assert {name for name in fresh if not name.startswith("level-")} <= {"size-view-frame"}


def test_what_was_typed_comes_back_as_text_and_never_as_markup(issued: Attempt, three: Any) -> None:
    client = Client()
    client.force_login(three.insider)
    reply = client.post(reverse("send", args=[issued.pk]), {"x-1": '"><b>wide</b>', "y-1": "1"})
    assert held(reply.content)["x-1"] == ['"><b>wide</b>']
    assert b"<b>wide" not in reply.content
