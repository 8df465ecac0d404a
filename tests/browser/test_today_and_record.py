"""Today's set and one's record, as an operator meets them: by thumb, by keys, on paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DEVICE_NAMES, DEVICES, PHONE, Site, sideways
from tests.trainer.conftest import attempt_row, graded_row  # noqa: F401

DAY = timedelta(days=1)
STOCKED = ("place", "join", "stand", "threshold")


@pytest.fixture
def practised(site: Site, graded_row: Callable[..., Any]) -> Site:  # noqa: F811
    """A month of graded cases of the operator, and four drills with a case in stock."""
    now = timezone.now()
    for kind in STOCKED:
        site.stock(kind)
    for day in range(30, 0, -3):
        for skill, credit in (("D1", 1.0), ("D2", 0.4), ("V1", 1.0), ("B1", 0.0)):
            graded_row(
                site.person, {skill: credit}, at=now - day * DAY, sureness=1 + day % 3,
                issued_at=now - day * DAY - timedelta(seconds=50),
            )  # fmt: skip
    for number in range(40):
        faulty, seen = number % 2 == 0, number % 5 > 0
        graded_row(
            site.person, {"V1": float(seen)}, at=now - 5 * DAY, kind="verdict",
            answer={"verdict": "redo" if faulty == seen else "keep"},
        )  # fmt: skip
    return site


def press_until(page: Page, words: str, most: int = 80) -> None:
    """Tab on until what has the focus says these words."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if words in page.evaluate("document.activeElement.innerText ?? ''"):
            return
    raise AssertionError(f"Tab never reaches {words!r}")


def test_a_set_is_begun_by_thumb_stays_the_same_and_is_ticked(practised: Site, tap_plan: Callable[..., None]) -> None:
    page = practised.page(PHONE)
    page.goto(practised.url)
    rows = page.locator(".set > li")
    expect(page.get_by_role("heading", name="Today’s set")).to_be_visible()
    titles = rows.locator("h3").all_inner_texts()
    assert len(titles) == len(STOCKED)
    assert all(reason.endswith(".") for reason in rows.locator(".what p").all_inner_texts())
    page.reload()
    assert rows.locator("h3").all_inner_texts() == titles
    button = page.get_by_role("button", name="Start the set")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    assert page.locator("button.primary").count() == 1
    button.tap()
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.get_by_role("heading", level=1)).to_have_text(titles[0])
    # Left and come back to: the case is still open, the set still there.
    page.goto(practised.url)
    page.get_by_role("link", name="Go on with it").tap()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert not faults_of(page)


@pytest.mark.proof
def test_a_graded_drill_ticks_its_row_and_the_next_one_is_offered(
    practised: Site,
    graded_row: Callable[..., Any],  # noqa: F811
) -> None:
    page = practised.page()
    page.goto(practised.url)
    first = page.locator(".set > li form").get_attribute("action")
    assert first is not None
    recipe = first.split("/")[2]
    graded_row(practised.person, {"D1": 1.0}, at=timezone.now(), recipe=recipe)
    page.reload()
    expect(page.locator(".set > li").first).to_contain_text("done")
    expect(page.get_by_text(re.compile(r"1 of 4 done; about \d+ min left"))).to_be_visible()
    assert page.locator(".set > li form").get_attribute("action") != first
    press_until(page, "Start the next one")
    page.keyboard.press("Enter")
    page.wait_for_url("**/attempts/**")


def test_the_record_leads_by_keys_from_the_map_to_a_graded_case(practised: Site) -> None:
    page = practised.page()
    page.goto(f"{practised.url}/my-record/")
    expect(page.locator(".cell")).to_have_count(28)
    expect(page.locator(".cell", has_text="Look it over on site")).to_contain_text("n = 50")
    expect(page.locator(".cell", has_text="Put the lens over the axis")).to_contain_text("Not")
    expect(page.get_by_text("Faulty frames redone: 16 of 20")).to_be_visible()
    press_until(page, "Look it over on site")
    page.keyboard.press("Enter")
    page.wait_for_url("**/my-record/V1/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Look it over on site")
    assert page.locator(".book > li").count() == 50
    press_until(page, "A flat")
    href = page.evaluate("document.activeElement.getAttribute('href')")
    assert re.fullmatch(r"/attempts/[0-9a-f-]+/grade/", href)


@pytest.mark.parametrize("device", DEVICE_NAMES)
def test_axe_finds_no_fault_and_nothing_scrolls_sideways(practised: Site, device: str) -> None:
    page = practised.page(DEVICES[device])
    faults = []
    for path in ("/", "/my-record/", "/my-record/B1/", "/skills/"):
        page.goto(practised.url + path)
        page.wait_for_selector("html[data-everywhere]", state="attached")
        faults += [f"{path}: {fault}" for fault in faults_of(page)]
        faults += [f"{path} scrolls sideways on a {screen}" for screen in sideways(page)]
    assert not faults, "\n".join(faults)


def test_a_record_on_paper_holds_state_map_and_figures_and_no_buttons(practised: Site) -> None:
    page = practised.page()
    page.goto(f"{practised.url}/my-record/")
    page.emulate_media(media="print")
    for words in ("Expected score on the standard set", "Stand, level, power", "Sure and right", "Counts"):
        assert page.get_by_role("heading", name=words).is_visible()
    assert page.locator(".cell .ink-bar").first.is_visible()
    assert not page.locator(".masthead").is_visible()
    assert len(page.pdf(format="A4")) > 20_000


def test_the_record_works_without_scripts(practised: Site) -> None:
    page = practised.page(java_script_enabled=False)
    page.goto(practised.url)
    page.get_by_role("button", name="Start the set").click()
    page.wait_for_url("**/attempts/**")
    page.goto(f"{practised.url}/my-record/")
    page.get_by_text("All that is missing for ready").click()
    expect(page.get_by_text("A signed shoot", exact=True)).to_be_visible()
