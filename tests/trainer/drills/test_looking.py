"""Pictures of an attempt: under names that nobody can guess, the clean one only after the grade, the same for all."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.drills.looking import name_outside

pytestmark = pytest.mark.django_db
FRAMES = [
    {"name": "frame", "what": "frame", "title": "Frame"},
    {"name": "heading-1", "what": "heading", "title": "One"},
]


@pytest.fixture(autouse=True)
def cabinet_of_its_own(settings: Any, tmp_path: Path) -> None:
    settings.VAR = tmp_path


@pytest.fixture
def takes(two_rooms: dict[str, Any]) -> dict[str, Any]:
    """A faulty and a clean take in the small floor's den."""
    import json

    from django.conf import settings

    from scoring.floor.plan import Station
    from scoring.floor.read import read_kit, read_plan
    from scoring.frame.take import Fault, Take, take_json

    plan = read_plan(json.dumps(two_rooms).encode())
    kit = read_kit((settings.SCENARIOS / "kits" / "heron-three.json").read_bytes())
    station = Station(level=0, x=4.6, y=1.4)
    fault = Fault(code="F1", values={"offset_mm": 20.0})
    faulty = Take(plan=plan, kit=kit, station=station, sky="overcast", faults=(fault,), seed=11)
    clean = Take(plan=plan, kit=kit, station=station, sky="overcast", seed=11)
    return {"frame": take_json(faulty), "clean": take_json(clean)}


@pytest.fixture
def looked_at(attempt_row: Callable[..., Any], three: Any, takes: dict[str, Any]) -> Any:
    """An open attempt of the insider at a case that is looked at."""
    return attempt_row(
        three.insider, kind="verdict", public={"title": "A frame", "frames": FRAMES}, key={"takes": takes}
    )


def where(attempt: Any, name: str, part: str = "1024") -> str:
    token = name_outside(attempt, name)
    return reverse("picture", kwargs={"attempt_id": attempt.pk, "token": token, "part": part})


def test_names_differ_by_attempt_and_picture_and_say_nothing(
    looked_at: Any, attempt_row: Callable[..., Any], three: Any
) -> None:
    other = attempt_row(three.insider, fingerprint="g" * 64)
    names = {name_outside(one, name) for one in (looked_at, other) for name in ("frame", "clean", "heading-1")}
    assert len(names) == 6
    assert all(len(name) == 32 for name in names)
    assert name_outside(looked_at, "frame") == name_outside(looked_at, "frame")


def test_the_clean_frame_is_not_there_before_the_grade(looked_at: Any, client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(where(looked_at, "clean")).status_code == 404
    assert client.get(where(looked_at, "clean-heading-1", "512")).status_code == 404


def test_somebody_elses_picture_is_not_there_even_by_its_name(looked_at: Any, client: Client, three: Any) -> None:
    for who in (three.mate, three.outsider, three.trainer):
        client.force_login(who)
        assert client.get(where(looked_at, "frame")).status_code == 404


@pytest.mark.parametrize("part", ["1000", "8192", "8192-8-0", "8192-0-4", "512-0-0", "00001024", "frame"])
def test_a_part_that_there_is_not_is_not_there(looked_at: Any, client: Client, three: Any, part: str) -> None:
    client.force_login(three.insider)
    assert client.get(where(looked_at, "frame", part)).status_code == 404


def test_pictures_come_with_one_kind_of_header_and_one_size(looked_at: Any, client: Client, three: Any) -> None:
    from trainer.drills.models import Answer, Grade

    client.force_login(three.insider)
    faulty = seen(client, where(looked_at, "frame"))
    now = looked_at.issued_at
    answer = Answer.objects.create(
        attempt=looked_at, client_key=uuid.uuid4(), body={}, sureness=2, answered_at=now, received_at=now
    )
    Grade.objects.create(
        answer=answer, credit=1.0, verdict="holds", body={"shapes": []}, engine="1", standard="1", made_at=now
    )
    clean = seen(client, where(looked_at, "clean"))
    assert faulty.content != clean.content
    assert len(faulty.content) == len(clean.content)
    assert dict(faulty.headers) == dict(clean.headers)
    assert faulty.headers["Content-Type"] == "image/jpeg"
    assert "private" in faulty.headers["Cache-Control"]
    assert "ETag" not in faulty.headers
    assert "Last-Modified" not in faulty.headers
    one, as_it_should_be = (seen(client, where(looked_at, name, "512")) for name in ("heading-1", "clean-heading-1"))
    assert one.content != as_it_should_be.content
    assert len(one.content) == len(as_it_should_be.content)
    assert client.get(where(looked_at, "clean-heading-2", "512")).status_code == 404
    told = faulty.content.decode("latin-1") + str(faulty.headers)
    secret = [word for word in words_of(looked_at.key["takes"]["frame"]) if word in told]
    assert not secret, "nothing of the cause stands in the file"


def words_of(value: Any) -> Iterator[str]:
    """Every text of a JSON value that is long enough to be told from chance."""
    if isinstance(value, dict):
        for item in value.values():
            yield from words_of(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from words_of(item)
    elif isinstance(value, str) and len(value) >= 6:
        yield value


def seen(client: Client, address: str) -> Any:
    """The picture, asked for as often as the site says to come again: compiling the engine may take a while."""
    for _ in range(60):
        reply = client.get(address)
        if reply.status_code != 202:
            assert reply.status_code == 200
            return reply
        assert reply.headers["Retry-After"] == "1"
    raise AssertionError("the picture was never ready")
