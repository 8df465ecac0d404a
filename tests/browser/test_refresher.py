"""A manager sets a refresher; an operator does a drill of the plan on a phone while the network is cut halfway."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, press_until, rooms_of
from tests.browser.line import Line
from trainer.drills.models import Attempt, Grade
from trainer.people.models import Membership, Role
from trainer.roster.models import Plan, Refresher

GRADE = re.compile(r"/grade/")
DAYS = timedelta(days=60)


@pytest.fixture
def manager(three: Any) -> Any:
    """The trainer decides for the team, too."""
    team = three.insider.memberships.get().team
    Membership.objects.create(person=three.trainer, team=team, role=Role.MANAGER)
    return three.trainer


@pytest.fixture
def line(site: Site) -> Iterator[Line]:
    """The phone's line to the site; losing it is what this is about."""
    line = Line(site.url)
    site.awaited.append("net::ERR_")
    yield line
    line.close()


def sideways(page: Page) -> int:
    """How far the page is wider than the screen, whatever the browser does to fit it in."""
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    assert page.viewport_size is not None
    return wide - page.viewport_size["width"]


def until_kept(page: Page) -> None:
    page.wait_for_function(
        """async () => {
            const files = performance.getEntriesByType('resource').map((one) => one.name);
            for (const name of [location.href, ...files.filter((one) => one.includes('/static/'))])
                if (!await caches.match(name, {ignoreVary: true})) return false;
            return true;
        }"""
    )


def test_a_refresher_is_set_and_done_on_a_phone_with_the_network_cut_halfway(
    site: Site, line: Line, manager: Any, three: Any, tap_plan: Callable[..., None]
) -> None:
    # Nothing but stations on a plan is in stock, so the drill of the plan is one of them.
    recipe = site.stock("place")
    site.person = manager
    desk = site.page(DESKTOP)
    desk.goto(f"{site.url}/refreshers/")
    assert faults_of(desk) == []
    # The manager sets it and gives the plan by keys alone.
    ready_on = timezone.now().date() + DAYS
    press_until(desk, "Tab", "input[name='title']")
    desk.keyboard.press("Control+a")
    desk.keyboard.type("Season starts")
    press_until(desk, "Tab", "input[name='ready_on']")
    desk.keyboard.type(f"{ready_on:%m%d%Y}")
    expect(desk.get_by_label("Ready by")).to_have_value(ready_on.isoformat())
    press_until(desk, "Tab", "form button.primary")
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", name="Who needs what")).to_be_visible()
    assert faults_of(desk) == []
    expect(desk.get_by_label("Insider")).not_to_be_checked()
    press_until(desk, "Tab", f"input[name='person'][value='{three.insider.pk}']")
    desk.keyboard.press("Space")
    press_until(desk, "Tab", "form button.primary")
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("Given: 1 plan.")).to_be_visible()
    plan = Plan.objects.get()
    assert plan.person == three.insider
    assert plan.wanted["D2"] >= 2

    site.person, site.url = three.insider, line.url
    phone = site.page(PHONE)
    phone.goto(f"{site.url}/")
    phone.get_by_role("link", name="Season starts").tap()
    expect(phone.get_by_text("Parked, engine off?")).to_be_in_viewport()
    assert faults_of(phone) == []
    assert sideways(phone) <= 0
    phone.get_by_role("button", name="Start a drill on Keep the line of sight").tap()
    phone.wait_for_selector("html[data-ready]", state="attached")
    assert Attempt.objects.get().recipe == recipe
    until_kept(phone)
    tap_plan(phone, *rooms_of(phone)[0]["spot"], by="touch")
    line.cut(phone.context)
    phone.reload()
    phone.wait_for_selector("html[data-ready]", state="attached")
    phone.get_by_role("button", name="Answer").tap()
    phone.get_by_role("button", name="Fairly sure").tap()
    expect(phone.get_by_text("Kept on this phone, will send.")).to_be_visible()
    assert not Grade.objects.exists()
    line.mend(phone.context)
    phone.wait_for_url(GRADE)
    assert Grade.objects.count() == 1

    phone.goto(f"{site.url}/my-plan/{plan.refresher_id}/")
    asked = sum(plan.wanted.values())
    counted = [one["skill"] for one in Grade.objects.get().body["evidence"] if one["skill"] in plan.wanted]
    assert "D2" in counted
    expect(phone.get_by_text(f"{len(counted)} of {asked} done.")).to_be_visible()
    desk.reload()
    expect(desk.get_by_role("row", name="Insider")).to_contain_text(f"{len(counted)} of {asked}")
    desk.get_by_text("Day by day").click()
    assert faults_of(desk) == []
    assert sideways(desk) <= 0
    assert Refresher.objects.count() == 1
