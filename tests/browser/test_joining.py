"""From an invitation to the first drill, on a phone and by keys alone; what is held about oneself, and leaving."""

from __future__ import annotations

import re
import zipfile
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, press_until, too_wide_px
from tests.conftest import PASSWORD
from trainer.people.models import Membership, Person, Role
from trainer.people.roles import roles_in


def as_person(site: Site, person: Any, device: dict[str, Any]) -> Page:
    """A page of somebody else than the operator of the tests."""
    page = site.page(device, signed_in=False)
    client = Client()
    client.force_login(person, backend=settings.AUTHENTICATION_BACKENDS[0])
    value = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": site.url}])
    return page


@pytest.fixture
def owner(three: Any) -> Any:
    """An owner of the operator's firm."""
    team = three.insider.memberships.get().team
    made = Person.objects.create(email="owner@example.org", name="Owner", password=three.insider.password)
    Membership.objects.create(person=made, team=team, role=Role.OWNER)
    return made


def looked_at(page: Page, faults: list[str]) -> None:
    page.wait_for_selector("html[data-everywhere]", state="attached")
    faults += [f"{page.url}: {fault}" for fault in faults_of(page)]
    if (over := too_wide_px(page)) > 0:
        faults.append(f"{page.url} scrolls {over} px sideways")


def test_it_leads_from_an_invitation_to_the_first_drill_on_a_phone(site: Site, owner: Any) -> None:
    faults: list[str] = []
    site.stock("place")
    desk = as_person(site, owner, DESKTOP)
    desk.goto(f"{site.url}/people/")
    looked_at(desk, faults)
    desk.get_by_role("link", name="Invite somebody").click()
    looked_at(desk, faults)
    desk.get_by_label("operator").check()
    desk.get_by_label("1 day").check()
    desk.get_by_role("button", name="Make the link").click()
    expect(desk.get_by_role("heading", level=1)).to_have_text("Pass this link on")
    looked_at(desk, faults)
    link = desk.get_by_label("Link").input_value()
    assert re.search(r"/join/[0-9a-z-]{30,}/$", link)
    desk.get_by_role("link", name="Done").click()
    expect(desk.get_by_text("Open invitations")).to_be_visible()

    phone = site.page(PHONE, signed_in=False)
    phone.goto(link)
    looked_at(phone, faults)
    phone.get_by_label("Name, as your team knows you").fill("New One")
    phone.get_by_label("E-mail address").fill("new@example.org")
    phone.get_by_label("Password").fill("too short")
    site.awaited.append("400 (Bad Request)")
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_role("alert")).to_be_visible()
    looked_at(phone, faults)
    expect(phone.get_by_label("Name, as your team knows you")).to_have_value("New One")
    phone.get_by_label("Password").fill(PASSWORD)
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_text("You are in North now.")).to_be_visible()
    looked_at(phone, faults)
    phone.get_by_role("button", name=re.compile("Start")).first.tap()
    phone.wait_for_selector("html[data-ready]", state="attached")
    assert re.search(r"/attempts/[0-9a-f-]+/$", phone.url)

    site.awaited.append("404 (Not Found)")
    late = site.page(PHONE, signed_in=False)
    late.goto(link)
    expect(late.get_by_role("heading", level=1)).to_have_text("This invitation is not open")
    looked_at(late, faults)
    desk.reload()
    expect(desk.get_by_role("row", name=re.compile("New One"))).to_be_visible()
    assert faults == []


def test_inviting_and_joining_take_keys_alone(site: Site, owner: Any) -> None:
    desk = as_person(site, owner, DESKTOP)
    desk.goto(f"{site.url}/people/")
    press_until(desk, "Tab", "main .heading a")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/people/invite/")
    press_until(desk, "Tab", "input[name='days']")
    desk.keyboard.press("ArrowUp")
    press_until(desk, "Tab", "form button.primary")
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Pass this link on")
    link = desk.get_by_label("Link").input_value()
    page = site.page(signed_in=False)
    page.goto(link)
    for name, text in (("name", "Key Presser"), ("email", "keys@example.org"), ("password", PASSWORD)):
        press_until(page, "Tab", f"input[name='{name}']")
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    expect(page.get_by_text("You are in North now.")).to_be_visible()
    person = Person.objects.get(email="keys@example.org")
    assert roles_in(person, owner.memberships.get().team) == ["operator"]


@pytest.mark.proof
def test_an_owner_moves_somebody_and_the_pages_of_the_firm_hold(site: Site, owner: Any) -> None:
    faults: list[str] = []
    page = as_person(site, owner, PHONE)
    page.goto(f"{site.url}/people/")
    looked_at(page, faults)
    page.get_by_role("link", name="Make a team").tap()
    looked_at(page, faults)
    page.get_by_label("Name").fill("Coast")
    page.get_by_label("Region").fill("The south")
    page.get_by_role("button", name="Keep").tap()
    page.get_by_role("link", name="Change the roles of Mate").tap()
    looked_at(page, faults)
    page.get_by_role("button", name="Move").tap()
    expect(page.get_by_text("Mate is in Coast now. The record went along.")).to_be_visible()
    page.get_by_role("button", name="Deactivate Mate").tap()
    page.get_by_role("link", name="The firm’s rules about people").tap()
    looked_at(page, faults)
    page.get_by_label("their answers go too").check()
    page.get_by_role("button", name="Keep").tap()
    expect(page.get_by_label("their answers go too")).to_be_checked()
    page.get_by_role("button", name="Take Mate back").tap()
    expect(page.get_by_text("Mate is back, in the same roles.")).to_be_visible()
    assert faults == []


@pytest.mark.proof
def test_one_sees_takes_and_erases_what_is_held(site: Site, tmp_path: Any) -> None:
    faults: list[str] = []
    page = site.page(PHONE)
    page.goto(f"{site.url}/settings/")
    looked_at(page, faults)
    page.get_by_role("link", name="All that is held about me").tap()
    looked_at(page, faults)
    page.get_by_text("Teams and roles: 1").tap()
    expect(page.get_by_text("operator of North")).to_be_visible()
    with page.expect_download() as loading:
        page.get_by_role("link", name="Take it as a file").tap()
    loading.value.save_as(tmp_path / "held.zip")
    assert "held.json" in zipfile.ZipFile(tmp_path / "held.zip").namelist()
    site.awaited.append("400 (Bad Request)")
    page.get_by_role("button", name="Erase me").tap()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was erased")
    page.get_by_label("I want to be erased").check()
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Erase me").tap()
    expect(page.get_by_text("You are erased.")).to_be_visible()
    assert not Person.objects.filter(pk=site.person.pk).exists()
    assert faults == []
