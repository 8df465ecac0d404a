"""A trainer watches a shoot with a phone and no connection: the form is there, the entry waits, and is stored once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, press_until
from tests.browser.line import Line
from trainer.roster.models import ObservedShoot
from trainer.roster.sign import starred

WAITING = re.compile("Waiting: no connection. Kept on this phone, will send.")


@pytest.fixture
def line(site: Site, three: Any) -> Iterator[Line]:
    """The trainer's line to the site; losing it is what this is about."""
    site.person = three.trainer
    line = Line(site.url)
    site.url = line.url
    site.awaited.append("net::ERR_")
    yield line
    line.close()


def choose(page: Page, skill: str, what: str) -> None:
    page.locator(f"label:has(input[name='seen-{skill}'][value='{what}'])").tap()


def until_kept(page: Page) -> None:
    page.wait_for_function(
        """async () => {
            const files = performance.getEntriesByType('resource').map((one) => one.name);
            for (const name of [location.href, ...files.filter((one) => one.includes('/static/'))])
                if (!await caches.match(name, {ignoreVary: true})) return false;
            return true;
        }"""
    )


def fill_by_keys(page: Page, address: str) -> None:
    """Enter a shoot by Tab, the arrows, Space and Enter alone."""
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    for skill in starred():
        press_until(page, "Tab", f"input[name='seen-{skill}']")
        page.keyboard.press("Space")
        if skill == "E1":
            press_until(page, "ArrowDown", "input[value='not seen']")
    press_until(page, "Tab", "textarea[name='words']")
    page.keyboard.type("By keys alone.")
    press_until(page, "Tab", "input[name='signed']")
    press_until(page, "ArrowDown", "input[name='signed'][value='no']")
    press_until(page, "Tab", "form button.primary")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Saved.")).to_be_visible()


def test_a_shoot_is_watched_without_a_connection_and_stored_once(site: Site, line: Line, three: Any) -> None:
    page = site.page(PHONE)
    page.goto(f"{site.url}/observe/{three.insider.pk}/")
    page.wait_for_selector("html[data-ready]", state="attached")
    assert faults_of(page) == []
    small = [box for one in page.locator(".three .choice").all() if (box := one.bounding_box()) and box["height"] < 44]
    assert not small, "every choice is a target for a thumb"
    until_kept(page)
    line.cut(page.context)
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    for skill in starred():
        choose(page, skill, "not done" if skill == "B1" else "done")
    page.locator("label:has(input[name='signed'][value='yes'])").tap()
    page.get_by_role("button", name="Save the shoot").tap()
    expect(page.get_by_role("alert")).to_contain_text("not done was Put the lens over the axis")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    choose(page, "B1", "done")
    page.get_by_role("button", name="Save the shoot").tap()
    expect(page.get_by_text(WAITING)).to_be_visible()
    page.reload()
    expect(page.get_by_text(WAITING)).to_be_visible()
    assert not ObservedShoot.objects.exists()
    line.mend(page.context)
    expect(page.get_by_text("Saved.")).to_be_visible()
    stored = ObservedShoot.objects.get()
    assert (stored.person, stored.by, stored.signed) == (three.insider, three.trainer, True)
    assert set(stored.seen.values()) == {"done"}
    fill_by_keys(site.page(DESKTOP), f"{site.url}/observe/{three.insider.pk}/")
    assert ObservedShoot.objects.count() == 2
    newest = ObservedShoot.objects.latest("made_at")
    assert (newest.signed, newest.words) == (False, "By keys alone.")
    assert newest.seen == {**dict.fromkeys(starred(), "done"), "E1": "not seen"}
    page.get_by_role("link", name="Shoots of Insider").tap()
    expect(page.get_by_text("signed", exact=False).first).to_be_visible()
    assert faults_of(page) == []


@pytest.mark.proof
def test_a_shoot_goes_out_from_any_page_and_never_in_another_name(site: Site, three: Any) -> None:
    site.awaited.append("404 (Not Found)")
    site.person = three.trainer
    page = site.page(PHONE)
    page.goto(f"{site.url}/observe/{three.insider.pk}/")
    page.wait_for_selector("html[data-ready]", state="attached")
    for skill in starred():
        choose(page, skill, "not seen" if skill == "E1" else "done")
    page.locator("label:has(input[name='signed'][value='no'])").tap()
    page.route("**/observed/", lambda route: route.abort())
    page.get_by_role("button", name="Save the shoot").tap()
    expect(page.get_by_text(WAITING)).to_be_visible()
    context = page.context
    page.close()
    context.clear_cookies()
    site.person = three.mate
    site.sign_in(context)
    other = context.new_page()
    with other.expect_response("**/observed/") as refused:
        other.goto(f"{site.url}/drills/")
    assert refused.value.status == 404
    assert not ObservedShoot.objects.exists()
    context.clear_cookies()
    site.person = three.trainer
    site.sign_in(context)
    other.goto(f"{site.url}/drills/")
    expect(other.get_by_text("What was kept on this phone has been sent.")).to_be_visible()
    assert ObservedShoot.objects.get().by == three.trainer
