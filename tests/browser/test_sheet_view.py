"""Zooming, levels, undoing, and figures as people type them."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.driving import PHONE, Site, rooms_of, spot_on_screen, stations_of
from trainer.library.drawing.units import area_words, length_words, read_length

STEPS = 24


def try_page(site: Site, floor: str, device: dict[str, Any] | None = None) -> Page:
    page = site.page(device)
    page.goto(f"{site.url}/places/{floor}/")
    page.wait_for_selector("html[data-ready]", state="attached")
    return page


def zoom_of(page: Page) -> float:
    found: float = page.evaluate("document.querySelector('plan-sheet').sheet.view.zoom")
    return found


def test_it_zooms_by_buttons_and_by_wheel_about_the_pointer(site: Site) -> None:
    page = try_page(site, "studio")
    page.get_by_role("button", name="Zoom in").click()
    assert zoom_of(page) == pytest.approx(1.5)
    page.get_by_role("button", name="Whole").click()
    assert zoom_of(page) == 1
    room = rooms_of(page)[0]["spot"]
    before = spot_on_screen(page, *room)
    page.mouse.move(*before)
    page.keyboard.down("Control")
    page.mouse.wheel(0, -60)
    page.keyboard.up("Control")
    assert zoom_of(page) > 1.2
    after = spot_on_screen(page, *room)
    assert after == pytest.approx(before, abs=1.5), "what is under the pointer stays there"


def test_two_fingers_zoom_the_plan_and_not_the_page(site: Site) -> None:
    page = try_page(site, "studio", PHONE)
    x, y = spot_on_screen(page, *rooms_of(page)[0]["spot"])
    touch = page.context.new_cdp_session(page)

    def fingers(gap: float) -> list[dict[str, float]]:
        return [{"x": x - gap, "y": y, "id": 0}, {"x": x + gap, "y": y, "id": 1}]

    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": fingers(20)})
    for gap in (30, 40, 50, 60):
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": fingers(gap)})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert zoom_of(page) == pytest.approx(3.0, rel=0.2)
    assert page.evaluate("visualViewport.scale") == 1
    assert stations_of(page) == [], "two fingers put nothing down"


def test_a_level_is_changed_and_a_station_stays_on_its_own(site: Site) -> None:
    page = try_page(site, "two-storey-dogleg")
    page.mouse.click(*spot_on_screen(page, *rooms_of(page)[0]["spot"]))
    page.get_by_role("button", name="First floor").click()
    assert page.get_by_role("button", name="First floor").get_attribute("aria-pressed") == "true"
    expect(page.locator(".sheet:visible .layer.own .station")).to_have_count(0)
    page.get_by_role("button", name="Add").click()
    assert [s["level"] for s in stations_of(page)] == [0, 1]
    expect(page.locator(".sheet:visible .layer.own .number")).to_have_text(["2"])


def test_every_one_of_many_steps_can_be_undone_and_done_again(site: Site) -> None:
    page = try_page(site, "great-house")
    rooms = rooms_of(page)
    for i in range(STEPS):
        room = rooms[i % len(rooms)]["spot"]
        page.evaluate("([x, y]) => document.querySelector('plan-sheet').put(x, y)", [room[0] + 0.01 * i, room[1]])
    held = stations_of(page)
    assert len(held) == STEPS
    for _ in range(STEPS):
        page.get_by_role("button", name="Undo").click()
    assert stations_of(page) == []
    for _ in range(STEPS):
        page.get_by_role("button", name="Redo").click()
    assert stations_of(page) == held


def test_the_list_and_the_plan_say_the_same(site: Site) -> None:
    page = try_page(site, "studio")
    page.get_by_role("button", name="Add").click()
    page.get_by_text("Coordinates list").click()
    row = page.locator("ol.stations li").first
    across = row.get_by_label("across")
    across.fill("1,25")
    across.press("Enter")
    assert stations_of(page)[0]["x"] == 1.25
    across.fill("east")
    across.press("Tab")
    assert across.get_attribute("aria-invalid") == "true"
    assert stations_of(page)[0]["x"] == 1.25
    row.get_by_label("up").fill("1.5")
    row.get_by_label("up").press("Tab")
    assert stations_of(page)[0]["y"] == 1.5
    expect(across).to_have_value("east")
    page.locator(".layer.own .station").press("ArrowRight")
    expect(across).to_have_value("1.35")
    expect(across).not_to_have_attribute("aria-invalid", "true")
    row.get_by_role("button", name="Take station 1 away").click()
    expect(page.locator("ol.stations li")).to_have_count(0)


TYPED = [
    "2.5",
    "2,5",
    "2.5 m",
    "-1",
    "−1,25",
    "10",
    "7' 9\"",
    "7′ 9″",
    "7 ft 9 in",
    "−7′ 9″",
    '9"',
    "",
    "two",
    "1e9",
    "1.2.3",
]


@pytest.mark.parametrize("units", ["m", "ft"])
def test_browser_and_server_read_and_write_lengths_alike(site: Site, units: str) -> None:
    page = try_page(site, "studio")
    read, written = page.evaluate(
        """async ([at, typed, units]) => {
            const { readLength, lengthWords, areaWords } = await import(at);
            const values = [0, 0.1, 2.35, -0.3048, 12.4999, 3.048];
            return [typed.map(text => { const v = readLength(text, units); return Number.isNaN(v) ? null : v; }),
                    values.map(v => [v, lengthWords(v, units), areaWords(Math.abs(v), units)])];
        }""",
        [f"{site.url}/static/sheet/lengths.js", TYPED, units],
    )
    for text, value in zip(TYPED, read, strict=True):
        try:
            expected = read_length(text, units)
        except ValueError:
            expected = None
        assert value == (None if expected is None else pytest.approx(expected, abs=1e-12)), text
    for value, length, area in written:
        assert (length, area) == (length_words(value, units), area_words(abs(value), units))
