"""Each kind of drill from its sheet to its grade, on a phone, and once more without scripts."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import KINDS, PHONE, Site, spot_on_screen
from tests.ways import second
from trainer.drills.models import Answer

VERDICTS = re.compile("Holds|Look again|Fails")


def given_on(page: Page) -> list[int]:
    """Numbers of the given stations on the shown level."""
    return [
        int(n)
        for n in page.locator(".sheet:visible .station[data-station]").evaluate_all(
            "all => all.map(s => s.dataset.station)"
        )
    ]


def given_on_screen(page: Page, number: int) -> tuple[float, float]:
    """Where a given station is drawn."""
    at = page.locator(f".sheet:visible .station[data-station='{number}']").get_attribute("transform") or ""
    x, y = (float(v) / 100 for v in re.findall(r"-?[\d.]+", at))
    return spot_on_screen(page, x, -y)


def tap_given(page: Page, number: int) -> None:
    """Tap a given station where it is drawn."""
    page.touchscreen.tap(*given_on_screen(page, number))


def spread_two_fingers(page: Page, number: int) -> None:
    """Zoom in about a given station."""
    x, y = given_on_screen(page, number)
    touch = page.context.new_cdp_session(page)
    for kind, gap in (("touchStart", 20), ("touchMove", 30), ("touchMove", 40), ("touchMove", 50)):
        ends = [{"x": x - gap, "y": y, "id": 0}, {"x": x + gap, "y": y, "id": 1}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": ends})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert page.evaluate("document.querySelector('plan-sheet').sheet.view.zoom") > 2


def middle(page: Page) -> None:
    """Add one station by its button."""
    page.get_by_role("button", name="Add").tap()


def fill_place(page: Page) -> None:
    middle(page)


def fill_join(page: Page) -> None:
    first = given_on(page)[0]
    tap_given(page, first)
    expect(page.locator(f"select[name='island-{first}']")).to_have_value("A")
    expect(page.locator(f".sheet:visible .station[data-station='{first}'] .island-letter")).to_have_text("A")
    for choice in page.locator("select[data-island]").all():
        choice.select_option("A")
    middle(page)


def fill_thin(page: Page) -> None:
    first = given_on(page)[0]
    tap_given(page, first)
    expect(page.locator(f"input[name='remove'][value='{first}']")).to_be_checked()
    expect(page.locator(f".sheet:visible .station[data-station='{first}'] .bar")).to_be_attached()


def fill_stand(page: Page) -> None:
    rows = page.locator("[data-stand]")
    if not rows.count():
        middle(page)
        return
    for row in rows.all():
        expect(row.get_by_label("Because")).to_be_hidden()
        row.get_by_label("Not allowed").check()
        row.get_by_label("Because").select_option(index=1)


def fill_threshold(page: Page) -> None:
    page.get_by_label("From the door line").check()
    middle(page)


FILL: dict[str, Callable[[Page], None]] = {
    "place": fill_place, "join": fill_join, "thin": fill_thin, "stand": fill_stand, "threshold": fill_threshold,
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_it_goes_from_the_sheet_to_a_grade_with_marks_on_the_sheet(site: Site, kind: str) -> None:
    page = site.page(PHONE)
    site.start(page, kind)
    assert faults_of(page) == []
    page.get_by_role("button", name="Answer").tap()
    missing = page.locator("[data-status]")
    if kind != "thin":
        expect(missing).to_have_text(re.compile("first|Say|Put"))
    else:
        page.get_by_role("button", name="Back to the sheet").tap()
    FILL[kind](page)
    draft = page.evaluate("new URLSearchParams(new FormData(document.querySelector('form[data-attempt]'))).toString()")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    again = page.evaluate("new URLSearchParams(new FormData(document.querySelector('form[data-attempt]'))).toString()")
    assert without_token(again) == without_token(draft), "a draft comes back whole"
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    page.wait_for_url("**/grade/")
    expect(page.locator(".verdict .word")).to_have_text(VERDICTS)
    assert faults_of(page) == []
    assert page.locator(".mark").count() >= 1
    assert page.locator("[data-show]").count() >= 1
    assert Answer.objects.get().attempt.kind == kind


def without_token(fields: str) -> str:
    return re.sub(r"csrfmiddlewaretoken=[^&]*", "", fields)


@pytest.mark.parametrize("kind", ["place", "stand", *second("join", "thin", "threshold")])
def test_it_can_be_answered_without_scripts(site: Site, kind: str) -> None:
    page = site.page(java_script_enabled=False)
    recipe = site.stock(kind)
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    if page.get_by_text("Coordinates list").count():
        page.get_by_text("Coordinates list").click()
        page.locator("[name='x-1']").fill("1.5")
        page.locator("[name='y-1']").fill("1.5")
    for choice in page.locator("select[data-island]").all():
        choice.select_option("B")
    for row in page.locator("[data-stand]").all():
        row.get_by_label("Allowed", exact=True).check()
    if kind == "threshold":
        page.get_by_label("From inside").check()
    page.get_by_role("button", name="A guess").click()
    page.wait_for_url("**/grade/")
    expect(page.locator(".verdict .word")).to_have_text(VERDICTS)
    assert Answer.objects.get().sureness == 1


def test_a_tap_on_the_sheet_leads_to_the_row_of_that_stand(site: Site) -> None:
    site.recipes["stand"] = "stand-which-flat"
    page = site.page(PHONE)
    site.start(page, "stand")
    first = given_on(page)[0]
    tap_given(page, first)
    assert page.evaluate("document.activeElement.name") == f"stand-{first}"


def test_a_figure_that_cannot_be_read_is_named_before_anything_is_sent(site: Site) -> None:
    page = site.page(PHONE)
    site.start(page, "place")
    middle(page)
    page.get_by_text("Coordinates list").tap()
    across = page.locator("ol.stations li").first.get_by_label("across")
    across.fill("1 m 20")
    page.get_by_role("button", name="Answer").tap()
    expect(page.locator("[data-status]")).to_have_text(re.compile("^Station 1, .*: “1 m 20” is not a length"))
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(across).to_have_value("1 m 20")
    across.fill("1,2")
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    page.wait_for_url("**/grade/")
    assert Answer.objects.get().body["stations"][0]["x"] == 1.2


@pytest.mark.parametrize("kind", ["thin", *second("join", "stand")])
def test_a_tap_takes_a_given_station_on_a_sheet_that_is_zoomed_in(site: Site, kind: str) -> None:
    site.recipes["stand"] = "stand-which-flat"
    page = site.page(PHONE)
    site.start(page, kind)
    number = given_on(page)[0]
    spread_two_fingers(page, number)
    tap_given(page, number)
    if kind == "join":
        expect(page.locator(f"select[name='island-{number}']")).to_have_value("A")
        tap_given(page, number)
        expect(page.locator(f"select[name='island-{number}']")).to_have_value("B")
    elif kind == "thin":
        expect(page.locator(f"input[name='remove'][value='{number}']")).to_be_checked()
    else:
        expect(page.locator(f"input[name='stand-{number}']").first).to_be_focused()
