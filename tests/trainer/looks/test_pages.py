"""The pages of one's own frame: looked at, held for its person, kept only when asked, deleted again."""

from __future__ import annotations

import tempfile
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import html5lib
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.trainer.looks import frame_files as files
from trainer.looks import limits, pages
from trainer.looks.models import Look

pytestmark = pytest.mark.django_db


@pytest.fixture
def insider(three: Any, stocked: Any) -> Client:
    """The insider's browser."""
    client = Client()
    client.force_login(three.insider)
    return client


def sent(client: Client, data: bytes = b"", name: str = "frame.jpg", **more: Any) -> Any:
    frame = SimpleUploadedFile(name, data or files.encoded(files.room(), quality=90))
    return client.post(reverse("own_frame_look"), {"frame": frame, **more})


def read(reply: Any, status: int = 200) -> str:
    assert reply.status_code == status
    text = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def test_the_form_asks_whose_home_it_is_and_says_what_is_measured(insider: Client) -> None:
    page = read(insider.get(reverse("own_frame")))
    for words in (
        "Ask the owner first",
        "local law",
        "never stored",
        "80 megapixels",
        "Veil",
        "counts for your record",
    ):
        assert words in page


def test_a_look_is_shown_with_numbers_limits_and_drawing_and_nothing_is_kept(insider: Client) -> None:
    reply = sent(insider, files.with_marks(), headings="4")
    assert (reply.status_code, reply.headers["Location"]) == (302, reverse("own_frame_held"))
    page = read(insider.get(reverse("own_frame_held")))
    for words in ("Tilt:", "Doubling at seams:", "Sharpness:", "keep under 0.5°", "names the place", "house-"):
        assert words in page
    assert 'id="found-' in page
    picture = insider.get(reverse("own_frame_held_picture"))
    assert picture.headers["Content-Type"] == "image/jpeg"
    assert b"SERIAL" not in picture.content
    assert not Look.objects.exists()


def test_keeping_stores_the_numbers_and_the_picture_only_when_asked(insider: Client, three: Any) -> None:
    for asked in ("", "yes"):
        sent(insider, files.with_marks())
        token = read(insider.get(reverse("own_frame_held"))).split('name="token" value="')[1].split('"')[0]
        reply = insider.post(reverse("own_frame_keep"), {"token": token, "note": "Den", "picture": asked})
        look = Look.objects.latest("made_at")
        assert reply.headers["Location"] == reverse("own_frame_kept", args=[look.pk])
        assert (look.person, look.note) == (three.insider, "Den")
        assert (look.picture is not None) == bool(asked)
        assert "SERIAL" not in str(look.body) + str(bytes(look.picture or b""))
        page = read(insider.get(reverse("own_frame_kept", args=[look.pk])))
        assert "Den" in page
        assert insider.get(reverse("own_frame_kept_picture", args=[look.pk])).status_code == (200 if asked else 410)
        assert insider.get(reverse("own_frame_held")).status_code == 302, "what is kept is no longer held"


def test_a_kept_look_is_seen_and_deleted_by_its_person_alone(insider: Client, three: Any) -> None:
    sent(insider)
    token = pages.token_of(three.insider)
    insider.post(reverse("own_frame_keep"), {"token": token, "picture": "yes"})
    look = Look.objects.get()
    for who in (three.mate, three.outsider, three.trainer):
        other = Client()
        other.force_login(who)
        for name in ("own_frame_kept", "own_frame_kept_picture"):
            assert other.get(reverse(name, args=[look.pk])).status_code == 404
        assert other.post(reverse("own_frame_delete", args=[look.pk])).status_code == 404
        assert "A frame" not in other.get(reverse("own_frame")).content.decode().split("Kept looks")[1]
    insider.post(reverse("own_frame_delete", args=[look.pk]))
    assert not Look.objects.exists()


def test_a_look_goes_with_its_person(insider: Client, three: Any) -> None:
    from datetime import UTC, datetime

    from trainer.drills.erase import erase

    sent(insider)
    insider.post(reverse("own_frame_keep"), {"token": pages.token_of(three.insider)})
    erase(three.insider, datetime(2026, 3, 2, tzinfo=UTC))
    assert not Look.objects.exists()


def test_what_is_held_is_seen_by_nobody_else_and_let_go_when_asked(insider: Client, three: Any) -> None:
    sent(insider)
    mate = Client()
    mate.force_login(three.mate)
    assert mate.get(reverse("own_frame_held")).status_code == 302
    assert mate.get(reverse("own_frame_held_picture")).status_code == 410
    insider.post(reverse("own_frame_discard"))
    assert insider.get(reverse("own_frame_held_picture")).status_code == 410
    insider.post(reverse("own_frame_keep"), {"token": "another"})
    assert not Look.objects.exists()


def test_a_refused_file_says_why_and_leaves_nothing(insider: Client, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    page = read(sent(insider, b"<svg xmlns='http://www.w3.org/2000/svg'/>", "frame.svg"), 400)
    assert "no JPEG, PNG or WebP" in page
    assert list(tmp_path.iterdir()) == []
    assert insider.get(reverse("own_frame_held_picture")).status_code == 410


def test_no_file_is_asked_for_again(insider: Client) -> None:
    assert "Choose a file first" in read(insider.post(reverse("own_frame_look"), {}), 400)


def test_too_large_a_request_is_refused_before_it_is_read(insider: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr("trainer.looks.intake.FILE_MAX_BYTES", 1000)
    monkeypatch.setattr("trainer.looks.intake.FORM_BYTES", 100)
    assert "larger than" in read(sent(insider), 413)


def test_a_file_that_grows_past_the_limit_is_dropped(insider: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr("trainer.looks.intake.FILE_MAX_BYTES", 1000)
    monkeypatch.setattr("trainer.looks.intake.FORM_BYTES", 10_000_000)
    assert sent(insider).status_code == 400


def test_a_person_is_slowed_down_after_six_looks_a_minute(insider: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr("trainer.looks.intake.LookRate.timer", staticmethod(lambda: 1_000_000.0))
    statuses = [sent(insider, b"no picture").status_code for _ in range(7)]
    assert statuses == [400] * 6 + [429]


class Unread:
    """The body of a request that nobody may read."""

    def read(self, *_: Any) -> bytes:
        raise AssertionError("it was read")

    readline = read


def unread(client: Client) -> Any:
    """The reply to a frame of which no byte may be read."""
    return client.post(
        reverse("own_frame_look"), {"frame": SimpleUploadedFile("a.jpg", b"x")}, **{"wsgi.input": Unread()}
    )


def test_the_rate_is_judged_before_a_frame_is_read(insider: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr("trainer.looks.intake.LookRate.timer", staticmethod(lambda: 1_000_000.0))
    for _ in range(6):
        sent(insider, b"no picture")
    assert "more than this site looks at in a minute" in read(unread(insider), 429)


def test_no_more_frames_are_taken_in_than_leave_threads_for_the_rest(insider: Client) -> None:
    with ExitStack() as others:
        for _ in range(limits.TAKEN_IN):
            others.enter_context(pages.taken_in)
        assert "Others are having frames looked at" in read(unread(insider), 503)
    assert sent(insider).status_code == 302


def test_whichever_way_a_look_ends_there_is_room_for_the_next(insider: Client, three: Any) -> None:
    stranger = Client(enforce_csrf_checks=True)
    stranger.force_login(three.mate)
    for _ in range(limits.TAKEN_IN):
        assert sent(stranger).status_code == 403
        assert sent(insider, b"no picture").status_code == 400
    assert sent(insider).status_code == 302


def test_when_others_have_frames_looked_at_it_says_so(insider: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr(limits, "WAIT_S", 0.01)
    for _ in range(limits.AT_ONCE):
        pages.at_once.acquire()
    try:
        assert "Others are having frames looked at" in read(sent(insider), 503)
    finally:
        for _ in range(limits.AT_ONCE):
            pages.at_once.release()


def test_a_person_keeps_a_bounded_number_of_looks(insider: Client, three: Any, monkeypatch: Any) -> None:
    monkeypatch.setattr(limits, "KEPT_MAX", 1)
    sent(insider)
    insider.post(reverse("own_frame_keep"), {"token": pages.token_of(three.insider)})
    sent(insider)
    insider.post(reverse("own_frame_keep"), {"token": pages.token_of(three.insider)})
    assert Look.objects.count() == 1


def test_no_other_form_takes_a_file_in(insider: Client, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    file = SimpleUploadedFile("frame.jpg", b"x" * 5_000_000)
    reply = insider.post(reverse("settings"), {"units": "ft", "frame": file})
    assert reply.status_code == 302
    assert "frame" not in reply.wsgi_request.FILES
    assert list(tmp_path.iterdir()) == []


def test_drills_lead_here(insider: Client) -> None:
    assert reverse("own_frame") in read(insider.get(reverse("drills")))
