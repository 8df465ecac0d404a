"""The bench over the wire: a page for every set-up, pictures and numbers that come when they are made."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from scoring import ENGINE_VERSION
from scoring.drill import canonical_json, content_hash
from scoring.frame.severity import Numbers
from trainer.renders import frames, readings
from trainer.renders.bench import nothing_measured, numbers_of
from trainer.renders.darkroom import DARKROOM, LATER, LINE_EACH, Darkroom, NotYet
from trainer.renders.metering import measured_on
from trainer.renders.readings import QUANTITIES
from trainer.renders.setups import setup_of, take_json_of

pytestmark = pytest.mark.django_db
F1 = {"room": "0/den", "light": "cloud", "fault": "F1", "offset_mm": "30"}
PATIENCE = 120


@pytest.fixture(autouse=True)
def cabinet_of_its_own(settings: Any, tmp_path: Path) -> None:
    settings.VAR = tmp_path


@pytest.fixture
def at_the_bench(client: Client, three: Any, stocked: Any) -> Client:
    client.force_login(three.insider)
    return client


def made(client: Client, address: str, fields_: dict[str, str] | None = None) -> Any:
    """The reply, asked for as often as the site says to come again."""
    for _ in range(PATIENCE):
        reply = client.get(address, fields_ or {})
        if reply.status_code != 202:
            return reply
        assert reply.headers["Retry-After"] == "1"
        with contextlib.suppress(NotYet):
            DARKROOM.ask("the end of the line", lambda: b"", LATER)
    raise AssertionError("it was never ready")


@pytest.fixture
def busy_darkroom(monkeypatch: pytest.MonkeyPatch) -> Iterator[Darkroom]:
    """A darkroom of the test's own that is at work on something until the test is over."""
    room, begun, go = Darkroom(patience_s=0.0), threading.Event(), threading.Event()

    def work() -> bytes:
        begun.set()
        go.wait()
        return b""

    made = room.put_in_line("at work", work)
    assert begun.wait(PATIENCE)
    monkeypatch.setattr(readings, "DARKROOM", room)
    yield room
    room.close()
    go.set()
    made.result(PATIENCE)


def test_every_quantity_that_is_measured_has_words() -> None:
    assert set(QUANTITIES) == {field.name for field in fields(Numbers)}
    assert QUANTITIES["doubling_deg"].said(1.424) == "1.42°"
    assert QUANTITIES["veil_share"].said(0.57) == "57\u00a0%"
    assert not QUANTITIES["clipped_share"].shows(0.0004)


def test_the_page_holds_the_whole_set_up_and_a_way_to_pass_it_on(at_the_bench: Client) -> None:
    page = at_the_bench.get(reverse("bench"), F1)
    text = page.content.decode()
    assert page.status_code == 200
    assert 'value="30"' in text
    assert "Lens in front of or behind the axis" in text
    assert "offset_mm=30" in text
    assert setup_of(F1).packed() in text


def test_a_set_up_that_cannot_be_says_why_and_shows_another(at_the_bench: Client) -> None:
    page = at_the_bench.get(reverse("bench"), {**F1, "offset_mm": "4000"})
    assert page.status_code == 400
    assert "must lie between -40 and 40 mm" in page.content.decode()
    assert at_the_bench.get(reverse("bench_numbers"), {"fault": "F99"}).status_code == 400
    assert at_the_bench.get(reverse("bench_curve"), {**F1, "over": "weight_kg"}).status_code == 400
    words = {"setup": "nothing", "name": "frame", "part": "1024"}
    assert at_the_bench.get(reverse("bench_picture", kwargs=words)).status_code == 404


def test_what_the_bench_measures_counts_for_who_asked(
    at_the_bench: Client, three: Any, busy_darkroom: Darkroom
) -> None:
    for number in range(LINE_EACH):
        asked = {**F1, "offset_mm": str(1 + number)}
        assert at_the_bench.get(reverse("bench" if number % 2 else "bench_numbers"), asked).status_code in {200, 202}
    assert at_the_bench.get(reverse("bench_curve"), F1).status_code == 503
    mate = Client()
    mate.force_login(three.mate)
    assert mate.get(reverse("bench_curve"), F1).status_code == 202


def test_numbers_and_pictures_follow_the_fault(at_the_bench: Client) -> None:
    numbers = made(at_the_bench, reverse("bench_numbers"), F1).content.decode()
    assert "Redo" in numbers
    assert "Doubling at the worst seam" in numbers
    assert "Show the worst place" in numbers
    mean = readings.reading_of(take_json_of(setup_of(F1)), "1", patient=True).mean_doubling_deg
    assert mean is not None
    assert mean > 0.0
    said = f'Doubling on average, over the whole area of the seams: <span class="figures">{mean:.2f}°</span>.'
    assert said in numbers
    words = {"setup": setup_of(F1).packed(), "part": "512"}
    faulty, clean = (
        made(at_the_bench, reverse("bench_picture", kwargs={**words, "name": name})) for name in ("frame", "clean")
    )
    assert faulty.content != clean.content
    assert len(faulty.content) == len(clean.content)
    assert (
        clean.content
        == made(
            at_the_bench,
            reverse(
                "bench_picture",
                kwargs={"setup": setup_of({**F1, "fault": "N0"}).packed(), "name": "frame", "part": "512"},
            ),
        ).content
    )


def test_what_was_measured_before_the_average_was_told_is_read_still(at_the_bench: Client) -> None:
    take = take_json_of(setup_of(F1))
    kept = {"numbers": asdict(Numbers(doubling_deg=1.0)), "regions": []}
    frames.cabinet().keep(content_hash([take, "reading", ENGINE_VERSION]), canonical_json(kept).encode())
    text = at_the_bench.get(reverse("bench_numbers"), F1).content.decode()
    assert "Doubling at the worst seam" in text
    assert "on average" not in text


def test_a_frame_that_cannot_be_says_why(at_the_bench: Client) -> None:
    no_such_sun = {"room": "0/den", "light": "low", "fault": "F18", "sun_deg": "25"}
    said = made(at_the_bench, reverse("bench_numbers"), no_such_sun)
    assert said.status_code == 400
    assert "sun" in said.content.decode()
    page = at_the_bench.get(reverse("bench"), no_such_sun)
    assert page.status_code == 400
    assert said.content.decode() in page.content.decode()
    words = {"setup": setup_of(no_such_sun).packed(), "name": "frame", "part": "512"}
    assert made(at_the_bench, reverse("bench_picture", kwargs=words)).status_code == 404


def test_the_curve_rises_with_the_fault(at_the_bench: Client) -> None:
    curve = made(at_the_bench, reverse("bench_curve"), F1).content.decode()
    assert '<svg class="chart"' in curve
    figures = [float(part.split("°")[0]) for part in curve.split('<td class="figures">')[1:]]
    assert len(figures) == 9
    middle = figures[4]
    assert figures[0] > figures[2] > middle
    assert figures[8] > figures[6] > middle


def test_where_the_curve_s_own_slider_is_turned_one_number_is_measured_and_no_other(at_the_bench: Client) -> None:
    made(at_the_bench, reverse("bench_curve"), F1)
    turned = {**F1, "offset_mm": "22"}
    curve = made(at_the_bench, reverse("bench_curve"), turned).content.decode()
    doubling = measured_on(take_json_of(setup_of(turned))).numbers.doubling_deg
    assert doubling is not None
    assert f"here {doubling:.2f}°" in curve
    assert nothing_measured(setup_of(turned)) == numbers_of(setup_of(turned), "", patient=False)
