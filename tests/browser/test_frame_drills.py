"""Cases that are looked at, from the start to the grade: by finger, by keys, without scripts; and nothing leaks before.

One frame is made for the whole file, with something wrong in it, and asked about in three ways.
"""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Page, expect

from scoring.kinds.cue import SPOTS_MOST
from scoring.kinds.heading import SIDES, STATES
from scoring.kinds.verdict import VERDICTS
from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, keep_rows, kept_rows
from tests.browser.test_no_leak import whole
from trainer.drills.looking import address_of, name_outside
from trainer.drills.models import Answer, Attempt

SEEDS = range(8_200_000_000_000_001, 8_200_000_000_000_041)
RECIPES = {
    "cause": "cause-doubled-open-plan",
    "cue": "cue-open-plan",
    "verdict": "verdict-one-bedroom",
    "heading": "heading-lens",
}
ASKS: dict[str, dict[str, Any]] = {
    "cue": {"spots_most": SPOTS_MOST},
    "verdict": {
        "choices": [{"name": "verdict", "legend": "Keep it or redo it?", "options": list(VERDICTS.items())}],
        "clock_s": 30,
    },
    "heading": {
        "choices": [
            {"name": "state", "legend": "What does this heading show?", "options": list(STATES.items())},
            {"name": "side", "legend": "On which side?", "options": list(SIDES.items())},
        ]
    },
}
GRADED = re.compile("Holds|Look again|Fails")
MADE_MS = 240_000
"""The engine may have to be compiled first."""


@pytest.fixture
def frame(site: Site, made_cases: Path) -> dict[str, Any]:
    """The fields of a stored case of "what went wrong" in which something is wrong; made once for the run."""
    from trainer.library import shelf
    from trainer.renders import stock
    from trainer.renders.models import Variation

    kept = made_cases / "faulty-frame.json"
    if not kept.exists():
        made_of = shelf.basis(RECIPES["cause"])
        rows = (stock.make_one(made_of, seed, timezone.now()) for seed in SEEDS)
        found = next((row for row in rows if row is not None and row.task["key"]["known"]["spots"]), None)
        assert found is not None, f"no fair case with a fault among {len(SEEDS)} seeds"
        keep_rows(kept, [found])
        Variation.objects.all().delete()
    [row] = kept_rows(kept)
    return {field.attname: getattr(row, field.attname) for field in Variation._meta.fields if field.name != "id"}


def put_in_stock(frame: dict[str, Any], kind: str, *, clean: bool = False) -> str:
    """The frame, or the same spot with nothing wrong, as a case of that kind; the recipe's name."""
    from trainer.library import shelf
    from trainer.renders.models import Variation

    recipe, task = RECIPES[kind], frame["task"]
    public = {**task["public"], "asks": ASKS.get(kind, task["public"]["asks"])}
    takes = task["key"]["takes"]
    key = {**task["key"], "takes": {**takes, "frame": takes["clean"]}} if clean else task["key"]
    print_ = f"{kind}-{clean}".ljust(64, "0")
    made = {**task, "kind": kind, "recipe": recipe, "public": public, "key": key, "fingerprint": print_}
    own = {"address": shelf.basis(recipe).address, "recipe": recipe, "task": made, "fingerprint": print_}
    Variation.objects.create(**{**frame, **own})
    return recipe


def read_as_heading(frame: dict[str, Any]) -> dict[str, Any]:
    """The stored case with a smudge instead, of which one heading is read."""
    task = frame["task"]
    takes, known = task["key"]["takes"], task["key"]["known"]
    smudged = {**takes["clean"], "faults": [{"code": "F10", "values": {"toward_deg": 0.0}}]}
    key = {
        **task["key"], "takes": {**takes, "frame": smudged}, "side": "right", "heading": 1,
        "known": {**known, "code": "F10", "cue": "same-patch", "values": {}},
    }  # fmt: skip
    heading = {"name": "heading-2", "title": "Heading 2 of 4", "what": "heading", "of": "frame"}
    return {**frame, "task": {**task, "public": {**task["public"], "frames": [heading]}, "key": key}}


def start(site: Site, frame: dict[str, Any], kind: str, device: dict[str, Any], **more: Any) -> Page:
    """The open case of that kind on a device, its frame drawn where scripts run."""
    recipe = put_in_stock(frame, kind)
    page = site.page(device, **more)
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    page.wait_for_url("**/attempts/**")
    if more.get("java_script_enabled", True):
        page.wait_for_selector("html[data-ready]", state="attached")
        page.wait_for_selector("frame-view[data-drawn='frame']", state="attached", timeout=MADE_MS)
    return page


def test_a_cause_is_chosen_with_a_thumb_and_explained(site: Site, frame: dict[str, Any]) -> None:
    page = start(site, frame, "cause", PHONE)
    assert faults_of(page) == []
    pane = page.locator(".panorama").bounding_box()
    assert pane is not None
    assert pane["height"] >= 0.55 * PHONE["viewport"]["height"]
    for row in page.locator(".choices.listed .choice").all():
        box = row.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    page.get_by_role("button", name="turn to this seam").first.tap()
    expect(page.locator("frame-view output")).to_contain_text("elevation −35°")
    page.get_by_role("button", name="turn to the floor at this seam").first.tap()
    expect(page.locator("frame-view output")).to_contain_text("elevation −60°")
    page.get_by_role("button", name="Answer").tap()
    expect(page.locator("[data-status]")).to_have_text("What went wrong? Choose one.")
    known = frame["task"]["key"]["known"]
    page.locator(f"input[name='cause'][value='{known['code']}']").tap()
    page.locator(f"input[name='cue'][value='{known['cue']}']").tap()
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    page.wait_for_url("**/grade/")
    expect(page.locator(".verdict .word")).to_have_text("Holds")
    assert Answer.objects.get().grade.credit == 1.0
    expect(page.get_by_role("img", name=re.compile("From|phone|lens", re.IGNORECASE)).first).to_be_attached()
    expect(page.locator("svg.kit")).to_be_visible()
    expect(page.get_by_role("heading", name="First fix")).to_be_visible()
    assert page.locator(".seams tbody tr").count() == frame["task"]["public"]["kit"]["headings"]
    average = page.locator(".seams td[data-name='on average']")
    assert re.fullmatch(r"\d\.\d\d°", average.first.inner_text())
    assert average.count() == frame["task"]["public"]["kit"]["headings"]
    assert page.locator("svg.scale .here").count() >= 1
    assert faults_of(page) == []
    term = page.locator("a.term").first
    meaning = page.locator(str(term.get_attribute("href")))
    term.focus()
    page.keyboard.press("Enter")
    expect(meaning).to_be_in_viewport()
    expect(meaning.locator("dt")).to_contain_text(re.compile(re.escape(term.inner_text()), re.IGNORECASE))


def test_a_view_whose_lower_end_lies_under_the_bar_is_shown_up_to_its_top(site: Site, frame: dict[str, Any]) -> None:
    page = start(site, frame, "cause", PHONE)
    tops = []
    for under_bar in (30, -20):
        page.evaluate(
            """(under) => {
                const low = innerHeight - document.querySelector(".bar-low").offsetHeight;
                const bottom = document.querySelector(".panorama").getBoundingClientRect().bottom;
                scrollBy({ top: bottom - low - under, behavior: "instant" });
            }""",
            under_bar,
        )
        pane, bar = page.locator(".panorama").bounding_box(), page.locator(".bar-low").bounding_box()
        assert pane is not None
        assert bar is not None
        assert (pane["y"] + pane["height"] > bar["y"] + 20) == (under_bar > 0)
        # A part of the screen would be taken by drawing it anew, without what lies over it.
        screen = Image.open(BytesIO(page.screenshot())).convert("RGB")
        left, top = round(pane["x"]) + 10, round(pane["y"]) + 4
        tops.append(np.asarray(screen.crop((left, top, left + 200, top + 16)), float).mean(axis=(0, 1)))
    assert tops[0] == pytest.approx(tops[1], abs=3), "the same of the view, whatever lies over its lower end"


def test_look_there_turns_the_view_and_frames_the_worst_place(site: Site, frame: dict[str, Any]) -> None:
    page = start(site, frame, "verdict", DESKTOP, reduced_motion="reduce")
    page.get_by_label(VERDICTS["redo"]).check()
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Sure", exact=True).click()
    page.wait_for_url("**/grade/")
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached", timeout=MADE_MS)
    worst = frame["task"]["key"]["known"]["spots"][0]
    view = "({...document.querySelector('frame-view').pose})"
    assert page.evaluate(view)["azimuth"] == pytest.approx(worst["azimuth_deg"], abs=0.1), "it opens on the worst place"
    page.get_by_role("button", name="Back to the start").focus()
    page.locator(".panorama").focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    page.get_by_role("button", name=re.compile("Look there")).first.click()
    expect(page.locator("frame-view output")).to_contain_text(f"{abs(worst['azimuth_deg']):.0f}°")
    assert page.evaluate(view)["azimuth"] == pytest.approx(worst["azimuth_deg"], abs=0.1)
    expect(page.locator(".spot.role-evidence").first).to_be_visible()
    page.get_by_role("button", name="Hold to compare").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("frame-view[data-drawn='clean']", state="attached", timeout=MADE_MS)
    assert page.evaluate(view)["azimuth"] == pytest.approx(worst["azimuth_deg"], abs=0.1), "from the very same spot"


def test_a_clock_runs_for_who_wants_it_and_takes_nothing_away(site: Site, frame: dict[str, Any]) -> None:
    page = start(site, frame, "verdict", PHONE)
    page.clock.install()
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.get_by_role("button", name="Run a clock of 30 s").tap()
    expect(page.locator("[data-clock] output")).to_have_text(re.compile("left"))
    page.clock.run_for(31_000)
    expect(page.locator("[data-clock] output")).to_contain_text("it costs nothing")
    page.get_by_label(VERDICTS["redo"]).check()
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="A guess").tap()
    page.wait_for_url("**/grade/")
    assert Answer.objects.get().grade.credit == 1.0


def turn_to(page: Page, spot: dict[str, float]) -> None:
    """Turn the view so that a place is in its middle."""
    page.evaluate(
        "({azimuth, elevation}) => document.querySelector('frame-view').turnTo({azimuth, elevation}, false)",
        {"azimuth": spot["azimuth_deg"], "elevation": spot["elevation_deg"]},
    )


@pytest.mark.parametrize("by", ["tap", "keys"])
def test_a_spot_is_marked_and_graded(site: Site, frame: dict[str, Any], by: str) -> None:
    page = start(site, frame, "cue", PHONE if by == "tap" else DESKTOP, reduced_motion="reduce")
    spots = frame["task"]["key"]["known"]["spots"]
    for number, spot in enumerate(spots, 1):
        turn_to(page, spot)
        if by == "tap":
            pane = page.locator(".panorama")
            pane.evaluate("one => one.scrollIntoView({block: 'center', behavior: 'instant'})")
            box = pane.bounding_box()
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        else:
            page.locator(".panorama").focus()
            page.keyboard.press("Enter")
        expect(page.locator(f"[name='azimuth-{number}']")).not_to_have_value("")
    answer = page.get_by_role("button", name="Answer")
    if by == "tap":
        answer.tap()
        page.get_by_role("button", name="Fairly sure").tap()
    else:
        answer.focus()
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Fairly sure").focus()
        page.keyboard.press("Enter")
    page.wait_for_url("**/grade/")
    expect(page.locator(".verdict .word")).to_have_text("Holds")
    assert len(Answer.objects.get().body["spots"]) == len(spots)


def test_spots_are_read_as_they_are_typed_and_half_a_spot_is_named(site: Site, frame: dict[str, Any]) -> None:
    page = start(site, frame, "cue", DESKTOP)
    page.locator("[name='azimuth-1']").fill("−12,5")
    page.locator("[name='elevation-1']").fill("30°")
    for half in ("", "low"):
        page.locator("[name='azimuth-2']").fill("40")
        page.locator("[name='elevation-2']").fill(half)
        page.get_by_role("button", name="Answer").click()
        expect(page.locator("[data-status]")).to_have_text("Spot 2 needs two figures in degrees, or none.")
    page.locator("[name='azimuth-2']").fill("")
    page.locator("[name='elevation-2']").fill("")
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Fairly sure").click()
    page.wait_for_url("**/grade/")
    assert Answer.objects.get().body["spots"] == [{"azimuth_deg": -12.5, "elevation_deg": 30.0}]


def test_a_graded_heading_is_held_beside_the_same_heading_as_it_should_be(site: Site, frame: dict[str, Any]) -> None:
    recipe = put_in_stock(read_as_heading(frame), "heading")
    page = site.page(DESKTOP)
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    page.wait_for_url("**/attempts/**")
    page.wait_for_selector("html[data-ready]", state="attached")
    compare = page.get_by_role("button", name="Hold to compare")
    expect(compare).to_be_hidden()
    for name, value in (("state", "F10"), ("side", "right")):
        page.locator(f"input[name='{name}'][value='{value}']").check()
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Sure", exact=True).click()
    page.wait_for_url("**/grade/")
    assert page.locator(".seams").count() == 0, "one heading has no seams"
    faulty, clean = (page.locator(f"figure[data-picture='{name}']") for name in ("heading-2", "clean-heading-2"))
    expect(faulty).to_be_visible()
    expect(page.get_by_role("toolbar", name="Turn the view")).to_be_hidden()
    compare.focus()
    page.keyboard.press("Enter")
    expect(clean).to_be_visible()
    expect(faulty).to_be_hidden()
    expect(page.locator("[data-caption]")).to_have_text("Shown: The same heading, clean")
    page.wait_for_function(
        "() => document.querySelector(\"figure[data-picture='clean-heading-2'] img\").naturalWidth > 0", timeout=MADE_MS
    )
    page.keyboard.press("Enter")
    expect(faulty).to_be_visible()
    assert faults_of(page) == []


@pytest.mark.parametrize("kind", ["cause", "cue", "verdict"])
def test_it_can_be_looked_at_and_answered_without_scripts(site: Site, frame: dict[str, Any], kind: str) -> None:
    page = start(site, frame, kind, PHONE, java_script_enabled=False)
    expect(page.locator("figure.flat img").first).to_be_visible()
    for group in page.locator("fieldset[data-choice]").all():
        group.locator("input").first.check()
    if kind == "cue":
        page.locator("[name='azimuth-1']").fill("12,5")
        page.locator("[name='elevation-1']").fill("-20")
    page.get_by_role("button", name="A guess").click()
    page.wait_for_url("**/grade/")
    expect(page.locator(".verdict .word")).to_have_text(GRADED)
    expect(page.locator("svg.kit")).to_be_visible()
    assert Answer.objects.get().sureness == 1
    if kind == "cue":
        assert Answer.objects.get().body["spots"] == [{"azimuth_deg": 12.5, "elevation_deg": -20.0}]


@pytest.mark.parametrize("kind", ["cue", "verdict"])
def test_nothing_of_the_answer_is_sent_before_the_grade(site: Site, frame: dict[str, Any], kind: str) -> None:
    heard: list[tuple[str, str]] = []
    recipe = put_in_stock(frame, kind)
    page = site.page(DESKTOP)
    page.on("response", lambda reply: heard.append(whole(reply)))
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached", timeout=MADE_MS)
    attempt = Attempt.objects.get()
    heard.append(whole(page.request.get(f"{site.url}/api/attempts/{attempt.pk}/")))
    heard.append(whole(page.request.get(f"{page.url}grade/")))
    known = attempt.key["known"]
    secret = {str(attempt.seed), attempt.fingerprint, *known_figures(known)}
    own = [(url, text) for url, text in heard if "/static/" not in url]
    assert own
    leaks = [(one, url) for url, text in own for one in secret if one in text]
    assert not leaks, leaks[:5]
    pages = [(url, text) for url, text in own if "/frames/" not in url]
    named = [url for url, text in pages if re.search(rf"\b{known['code']}\b|\b{known['cue']}\b", text)]
    assert not named, "neither the fault's code nor its cue is on a page"
    hidden = name_outside(attempt, "clean")
    assert not [url for url, text in heard if hidden in url or hidden in text]
    assert page.request.get(f"{site.url}{address_of(attempt, 'clean')}1024.jpg").status == 404


def known_figures(known: dict[str, Any]) -> set[str]:
    """Measured figures and directions long enough to be told from any other number."""
    values = [*known["numbers"].values(), *known["values"].values()]
    values += [value for spot in known["spots"] for value in spot.values()]
    return {text for value in values if isinstance(value, float) and len(text := str(abs(value))) >= 6}


def test_a_faulty_frame_cannot_be_told_from_a_clean_one_by_what_is_round_the_picture(
    site: Site, frame: dict[str, Any]
) -> None:
    page = start(site, frame, "cue", DESKTOP)
    put_in_stock(frame, "verdict", clean=True)
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{RECIPES['verdict']}/start/'] button").click()
    page.wait_for_url("**/attempts/**")
    first, second = Attempt.objects.order_by("issued_at")
    tokens = [name_outside(one, "frame") for one in (first, second)]
    assert tokens[0] != tokens[1]
    for part in ("1024", "2048"):
        replies = [page.request.get(f"{site.url}{address_of(one, 'frame')}{part}.jpg") for one in (first, second)]
        bodies = [reply.body() for reply in replies]
        assert bodies[0] != bodies[1], "they are two pictures"
        assert len(bodies[0]) == len(bodies[1])
        assert round_the_picture(bodies[0]) == round_the_picture(bodies[1])
        changing = {"date", "etag", "server-timing"}
        told = [{k: v for k, v in reply.headers.items() if k not in changing} for reply in replies]
        assert told[0] == told[1]


def round_the_picture(jpeg: bytes) -> list[bytes]:
    """Every segment of a JPEG before its picture data."""
    segments, at = [], 2
    while jpeg[at + 1] != 0xDA:
        length = int.from_bytes(jpeg[at + 2 : at + 4], "big")
        segments.append(jpeg[at : at + 2 + length])
        at += 2 + length
    return segments
