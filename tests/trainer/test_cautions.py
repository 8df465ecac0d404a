"""Wherever frames, lenses and light are looked at or explained, the same cautions stand beside."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import html5lib
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.trainer.looks import frame_files as files
from trainer.drills.answer import answer

pytestmark = pytest.mark.django_db

CAUTIONS: Mapping[str, tuple[str, ...]] = {
    "the sun": ("never look or aim at the sun, by eye or through a lens",),
    "a lens": ("grit", "wipe"),
    "cells and heat": ("cells and power banks", "heat", "smell, swelling"),
    "people and private things": ("in a frame", "ask"),
    "who comes first": ("employer\u2019s", "local"),
}
"""What is told of each, whatever the page's own words are."""


@pytest.fixture
def insider(client: Client, three: Any, stocked: Any, settings: Any, tmp_path: Path) -> Client:
    """The insider's browser; pictures go to a cabinet of the test's own."""
    settings.VAR = tmp_path
    client.force_login(three.insider)
    return client


@pytest.fixture
def pages(
    insider: Client, issued: Any, good_answer: dict[str, Any], attempt_row: Callable[..., Any], three: Any
) -> Mapping[str, Callable[[], Any]]:
    """How each of the pages is opened, by its name."""

    def round_() -> Any:
        now = timezone.now()
        answer(issued, client_key=uuid.uuid4(), body=good_answer, sureness=2, answered_at=now, now=now)
        return insider.get(reverse("look_round", args=[issued.pk]))

    def look() -> Any:
        frame = SimpleUploadedFile("frame.jpg", files.encoded(files.room(), quality=90))
        insider.post(reverse("own_frame_look"), {"frame": frame})
        return insider.get(reverse("own_frame_held"))

    return {
        "the Bench": lambda: insider.get(reverse("bench")),
        "looking round": round_,
        "the form for one's own frame": lambda: insider.get(reverse("own_frame")),
        "one's own frame": look,
        "the site's cautions": lambda: insider.get(reverse("cautions")),
    }


@pytest.mark.parametrize(
    "name", ["the Bench", "looking round", "the form for one's own frame", "one's own frame", "the site's cautions"]
)
def test_it_tells_every_caution(pages: Mapping[str, Callable[[], Any]], name: str) -> None:
    reply = pages[name]()
    assert reply.status_code == 200
    text = "".join(html5lib.HTMLParser(strict=True).parse(reply.content.decode()).itertext()).lower()
    missing = {what: words for what, said in CAUTIONS.items() if (words := [w for w in said if w not in text])}
    assert missing == {}
