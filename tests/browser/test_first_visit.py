"""From the first visit to the first grade, in each of the ways a person may work."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.driving import PHONE, Site, press_until, rooms_of, spot_on_screen, stations_of

GRADE = re.compile(r"/attempts/[0-9a-f-]+/grade/")
MOVED_M = 1.3
"""Farther than a finger is wide."""
VERDICTS = re.compile("Holds|Look again|Fails")


def reads_a_grade(page: Page) -> None:
    page.wait_for_url(GRADE)
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator(".verdict .word")).to_have_text(VERDICTS)
    assert page.locator(".mark").count() >= 3
    assert re.search(r"found .+ points", page.locator(".mark .measure").first.inner_text(), re.S)
    assert page.locator(".layer.areas .role-seen-once").count() > 0


def test_it_leads_from_signing_in_to_a_grade_with_a_mouse(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(signed_in=False)
    page.goto(site.url)
    page.get_by_role("link", name="Sign in and start").click()
    page.get_by_label("Email").fill(site.person.email)
    page.get_by_label("Password", exact=True).fill("a long and quiet password")
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Start here")
    site.start(page)
    rooms = rooms_of(page)[:3]
    for room in rooms:
        tap_plan(page, *room["spot"])
    expect(page.locator(".layer.own .station")).to_have_count(len(rooms))
    # A station dragged moves, and undo puts it back.
    before = stations_of(page)[0]
    x, y = spot_on_screen(page, before["x"], before["y"])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y + 10, steps=4)
    page.mouse.up()
    after = stations_of(page)[0]
    assert after["x"] > before["x"]
    assert after["y"] < before["y"]
    page.get_by_role("button", name="Undo").click()
    assert stations_of(page)[0] == before
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Fairly sure").click()
    reads_a_grade(page)
    expect(page.get_by_text("You were fairly sure.")).to_be_visible()


def drag_by_finger(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A real touch drag: the browser may take the gesture away, as it does on a phone."""
    touch = page.context.new_cdp_session(page)
    (ax, ay), (bx, by) = start, end
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": ax, "y": ay}]})
    for i in range(1, 9):
        at = {"x": ax + (bx - ax) * i / 8, "y": ay + (by - ay) * i / 8}
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_it_works_with_one_finger_on_a_phone(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    site.start(page)
    first, second, *_ = rooms_of(page)
    tap_plan(page, *first["spot"], by="touch")
    tap_plan(page, *second["spot"], by="touch")
    expect(page.locator(".layer.own .station")).to_have_count(2)
    box = page.locator(".layer.own .hit").first.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 44

    # A finger on a station drags it and does not scroll the page.
    was, scrolled = stations_of(page)[0], page.evaluate("scrollY")
    x, y = spot_on_screen(page, was["x"], was["y"])
    scrolled = page.evaluate("scrollY")
    drag_by_finger(page, (x, y), (x + 25, y + 70))
    now = stations_of(page)[0]
    assert now["x"] - was["x"] > 0.1
    assert page.evaluate("scrollY") == scrolled

    # A finger elsewhere scrolls the page and leaves the stations alone.
    held = stations_of(page)
    page.evaluate("scrollTo({top: 60, behavior: 'instant'})")
    box = page.locator(".sheet:not([hidden]) svg.over").bounding_box()
    assert box is not None
    drag_by_finger(page, (box["x"] + 6, box["y"] + 160), (box["x"] + 6, box["y"] + 60))
    assert page.evaluate("scrollY") > 60
    assert stations_of(page) == held

    # Tap it, tap the new place: no drag is ever needed.
    x, y = spot_on_screen(page, held[1]["x"], held[1]["y"])
    page.touchscreen.tap(x, y)
    tap_plan(page, second["spot"][0] + MOVED_M, second["spot"][1], by="touch")
    assert stations_of(page)[1]["x"] == pytest.approx(second["spot"][0] + MOVED_M, abs=0.06)
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="A guess").tap()
    reads_a_grade(page)


def test_it_works_with_the_keyboard_alone(site: Site) -> None:
    page = site.page()
    site.start(page)
    press_until(page, "Tab", "[data-do='add']")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.matches('.station')"), "a new station has the focus"
    start = stations_of(page)[0]
    for key, dx, dy in (
        ("ArrowRight", 0.1, 0),
        ("ArrowUp", 0, 0.1),
        ("Shift+ArrowLeft", -0.01, 0),
        ("Shift+ArrowDown", 0, -0.01),
    ):
        before = stations_of(page)[0]
        page.keyboard.press(key)
        now = stations_of(page)[0]
        assert (now["x"] - before["x"], now["y"] - before["y"]) == pytest.approx((dx, dy), abs=1e-9)
    label = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert re.match(r"Station 1, .+, -?[\d.]+ m across, -?[\d.]+ m up", label)
    page.keyboard.press("Control+z")
    assert stations_of(page)[0] == start, "a run of nudges is one step"
    page.keyboard.press("Control+Shift+z")
    press_until(page, "Tab", "[data-do='add']")
    page.keyboard.press("Enter")
    assert len(stations_of(page)) == 2
    page.keyboard.press("PageUp")
    assert page.evaluate("document.activeElement.dataset.own") == "0"
    page.keyboard.press("Delete")
    assert len(stations_of(page)) == 1
    press_until(page, "Tab", "[data-do='answer']")
    page.keyboard.press("Enter")
    press_until(page, "Tab", ".sureness button[value='3']")
    page.keyboard.press("Enter")
    reads_a_grade(page)
    press_until(page, "Tab", "[data-show]")
    page.keyboard.press("Enter")
    expect(page.locator(".mark-shapes.shown").first).to_be_attached()


def test_it_works_without_scripts(site: Site) -> None:
    page = site.page(java_script_enabled=False)
    recipe = site.stock("place")
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    expect(page.locator("svg.plan .wall").first).to_be_visible()
    page.get_by_text("Coordinates list").click()
    page.locator("[name='x-1']").fill("2,5")
    site.awaited.append("400 (Bad Request)")
    page.get_by_role("button", name="Sure", exact=True).click()
    expect(page.get_by_role("status").filter(has_text="Row 1 of the list has one figure only")).to_be_visible()
    expect(page.locator("[name='x-1']")).to_have_value("2,5")
    page.locator("[name='y-1']").fill("1.5 m")
    page.get_by_role("button", name="Sure", exact=True).click()
    page.wait_for_url(GRADE)
    expect(page.locator(".verdict .word")).to_have_text(VERDICTS)
    answer: Any = site.person.attempts.get().answer
    assert answer.body == {"stations": [{"level": 0, "x": 2.5, "y": 1.5}]}
    assert answer.sureness == 3
