"""The whole way of one operator: invited, a first week, a shoot watched and signed, ready, and a record that somebody
outside asks about."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.driving import DESKTOP, PHONE, Site, rooms_of
from tests.browser.test_joining import as_person
from tests.browser.test_observed_shoot import choose
from tests.conftest import PASSWORD
from tests.trainer.conftest import attempt_row, graded_row  # noqa: F401
from trainer.library.rules import SITE_RULE
from trainer.people.models import Membership, Person, Role
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground
from trainer.roster.sign import starred


@pytest.fixture
def manager(three: Any) -> Any:
    """Who leads the team of the trainer."""
    made = Person.objects.create(email="manager@example.org", name="Manager", password=three.trainer.password)
    Membership.objects.create(person=made, team=three.trainer.memberships.get().team, role=Role.MANAGER)
    return made


def test_from_an_invitation_to_a_record_that_is_asked_about_from_outside(
    site: Site,
    three: Any,
    manager: Any,
    graded_row: Callable[..., Any],  # noqa: F811
    tap_plan: Callable[..., None],
) -> None:
    site.stock("place")
    desk = as_person(site, manager, DESKTOP)
    desk.goto(f"{site.url}/people/")
    desk.get_by_role("link", name="Invite somebody").click()
    desk.get_by_label("operator").check()
    desk.get_by_role("button", name="Make the link").click()
    link = desk.get_by_label("Link").input_value()

    phone = site.page(PHONE, signed_in=False)
    phone.goto(link)
    phone.get_by_label("Name, as your team knows you").fill("New One")
    phone.get_by_label("E-mail address").fill("new@example.org")
    phone.get_by_label("Password").fill(PASSWORD)
    phone.get_by_role("button", name="Join").tap()
    phone.get_by_role("button", name=re.compile("Start")).first.tap()
    phone.wait_for_selector("html[data-ready]", state="attached")
    tap_plan(phone, *rooms_of(phone)[0]["spot"], by="touch")
    phone.get_by_role("button", name="Answer").click()
    phone.get_by_role("button", name="Fairly sure").click()
    phone.wait_for_url("**/grade/")
    desk.goto(f"{site.url}/team/")
    expect(desk.get_by_role("row", name=re.compile("New One"))).to_contain_text("In training")

    # The rest of the first week, as the ledger holds it: one case a day on every critical skill that has drills.
    somebody = Person.objects.get(email="new@example.org")
    for day in range(7):
        for star in ground(SITE_RULE).drilled:
            graded_row(somebody, {star.code: 1.0}, at=timezone.now() - timedelta(days=7 - day))
    catch_up()
    phone.goto(f"{site.url}/my-record/")
    expect(phone.get_by_role("heading", name="You are: in training")).to_be_visible()
    expect(phone.locator("[aria-labelledby=state]")).to_contain_text("shoot")

    watching = as_person(site, three.trainer, PHONE)
    watching.goto(f"{site.url}/observe/")
    watching.get_by_role("link", name="Watch a shoot of New One").tap()
    watching.wait_for_selector("html[data-ready]", state="attached")
    for skill in starred():
        choose(watching, skill, "done")
    watching.locator("label:has(input[name='signed'][value='yes'])").tap()
    watching.get_by_role("button", name="Save the shoot").tap()
    expect(watching.get_by_text("Saved.")).to_be_visible()

    desk.goto(f"{site.url}/team/")
    expect(desk.get_by_role("row", name=re.compile("New One"))).to_contain_text("Ready")
    phone.goto(f"{site.url}/readiness-record/")
    phone.get_by_role("checkbox").check()
    phone.get_by_role("button", name="Make the record").tap()
    phone.wait_for_url(re.compile(r"/readiness-record/[0-9a-f-]{36}/"))
    code = phone.locator(".code").inner_text()

    outside = site.page(PHONE, signed_in=False)
    outside.goto(f"{site.url}/confirm/")
    outside.get_by_label("Check code").fill(code)
    outside.get_by_role("button", name="Ask").tap()
    expect(outside.get_by_role("heading", name="The record stands")).to_be_visible()
    expect(outside.get_by_text("Today the state is the same: ready.")).to_be_visible()
    expect(outside.get_by_text("New One").first).to_be_visible()
