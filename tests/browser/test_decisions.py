"""A manager holds somebody, who sees why and appeals; the answer and the release follow. Kits and drills are given."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, sideways, too_wide_px
from tests.browser.test_every_page import graded_attempt
from trainer.roster.models import Decision, KitChange, KitCheck, Remark, Reply

REASON = "Set up on the treads at two homes; the stairs come first."
APPEAL = "It was the half-landing, not a tread."
ANSWER = "Agreed: the frame shows the landing."


@pytest.fixture
def manager(site: Site, three: Any, hashed_password: str) -> Any:
    """A manager of the operator's team."""
    from trainer.people.models import Membership, Person, Role

    made = Person.objects.create(email="manager@example.org", password=hashed_password, name="Manager")
    Membership.objects.create(person=made, team=three.insider.memberships.get().team, role=Role.MANAGER)
    return made


def page_for(site: Site, person: Any, device: dict[str, Any]) -> Page:
    site.person = person
    return site.page(device)


def sound(page: Page) -> None:
    """No fault that axe finds, and nothing beside the sheet."""
    assert faults_of(page) == []
    assert sideways(page) == []


def test_a_hold_is_seen_appealed_answered_and_released(site: Site, three: Any, manager: Any) -> None:
    desk = page_for(site, manager, DESKTOP)
    where = f"{site.url}/people/{three.insider.pk}/"
    desk.goto(where)
    desk.get_by_text("Decide about Insider").click()
    desk.get_by_label("Hold: not to be sent until somebody releases").check()
    desk.get_by_label("Why?").fill(REASON)
    sound(desk)
    desk.get_by_role("button", name="Decide").click()
    expect(desk.get_by_text("Kept. Insider sees it, with your name and your reason.")).to_be_visible()
    assert Decision.objects.get().what == "hold"

    phone = page_for(site, three.insider, PHONE)
    phone.goto(f"{site.url}/my-record/")
    told = phone.locator("#about .decided")
    expect(told).to_contain_text("Held. Manager decided on")
    expect(told).to_contain_text(REASON)
    phone.get_by_text("Ask to have my state looked at again").tap()
    phone.get_by_label("What is wrong about it?").fill(APPEAL)
    sound(phone)
    phone.get_by_role("button", name="Send the appeal").tap()
    expect(phone.get_by_text("Waits for an answer.")).to_be_visible()

    desk.goto(f"{site.url}/appeals/")
    expect(desk.get_by_text("Against “held”")).to_be_visible()
    sound(desk)
    desk.get_by_role("link", name="Answer Insider").click()
    desk.get_by_label("Your answer").fill(ANSWER)
    sound(desk)
    desk.get_by_role("button", name="Answer").click()
    expect(desk.locator("#about")).to_contain_text(ANSWER)
    assert Reply.objects.get().by == manager
    desk.get_by_text("Decide about Insider").click()
    desk.get_by_label("Release: the rule’s word counts again").check()
    desk.get_by_label("Why?").fill("The frame shows the landing.")
    desk.get_by_role("button", name="Decide").click()
    expect(desk.get_by_text("Kept. Insider sees it")).to_be_visible()

    phone.reload()
    about = phone.locator("#about")
    expect(about).to_contain_text(ANSWER)
    expect(about).to_contain_text("Released: “The frame shows the landing.”")
    expect(about.locator(".decided")).to_have_count(0)
    sound(phone)


@pytest.mark.proof
def test_a_form_that_another_decision_overtook_says_so_and_keeps_the_words(
    site: Site, three: Any, manager: Any
) -> None:
    site.awaited.append("400 (Bad Request)")
    first, second = page_for(site, manager, DESKTOP), page_for(site, manager, PHONE)
    for page in (first, second):
        page.goto(f"{site.url}/people/{three.insider.pk}/decide/")
        page.get_by_label("Hold: not to be sent until somebody releases").check()
        page.get_by_label("Why?").fill(REASON)
    first.get_by_role("button", name="Decide").click()
    expect(first.get_by_text("Kept. Insider sees it")).to_be_visible()
    second.get_by_role("button", name="Decide").tap()
    expect(second.get_by_role("alert")).to_contain_text("Manager decided in the meantime: held")
    expect(second.get_by_label("Why?")).to_have_value(REASON)
    sound(second)
    assert Decision.objects.count() == 1


def test_a_trainer_gives_a_kit_goes_through_it_by_hand_and_gives_a_drill(site: Site, three: Any) -> None:
    phone = page_for(site, three.trainer, PHONE)
    where = f"{site.url}/people/{three.insider.pk}/"
    phone.goto(where)
    phone.get_by_role("link", name="Give a kit").tap()
    phone.get_by_label("Heron kit, three headings").check()
    phone.get_by_role("button", name="See what changes").tap()
    phone.get_by_role("button", name="Give this kit from now on").tap()
    phone.get_by_role("link", name="Change the kit").tap()
    phone.get_by_label("Plover kit, four headings").check()
    phone.get_by_role("button", name="See what changes").tap()
    expect(phone.get_by_text("Headings in a spin: 3 → 4")).to_be_visible()
    sound(phone)
    phone.get_by_label("Battery").uncheck()
    phone.get_by_role("button", name="Give this kit from now on").tap()
    expect(phone.locator("#about")).to_contain_text("Works with Plover kit, four headings.")
    assert KitChange.objects.latest("made_at").parts == ["tripod", "rotator", "clamp", "phone", "lens"]
    phone.get_by_role("link", name="Go through the list by hand").tap()
    expect(phone.get_by_role("button", name="Sign the list")).to_be_visible()
    sound(phone)
    for box in phone.locator("input[name='done']").all():
        box.check()
    phone.get_by_role("button", name="Sign the list").tap()
    expect(phone.locator("#about")).to_contain_text("Gone through by hand: Trainer")
    assert KitCheck.objects.count() == 1

    phone.get_by_role("link", name="Give a drill or a round").tap()
    expect(phone.get_by_label("Insider")).to_be_checked()
    phone.get_by_label("What?").select_option(site.recipes["place"])
    phone.get_by_label("Words to go with it").fill("Mind the hall.")
    sound(phone)
    phone.get_by_role("button", name="Give it").tap()
    expect(phone.locator("#about")).to_contain_text("Mind the hall.")
    sound(phone)
    phone.get_by_role("button", name="Take back").tap()
    expect(phone.get_by_text("Taken back.")).to_be_visible()
    expect(phone.locator("#about")).not_to_contain_text("Mind the hall.")


def test_a_remark_on_a_case_is_read_by_whoever_answered_it(site: Site, three: Any) -> None:
    operator = site.page(DESKTOP)
    _, graded = graded_attempt(site, operator)
    phone = page_for(site, three.trainer, PHONE)
    phone.goto(graded)
    phone.get_by_label("Say something about this case").fill("The door hides the den.")
    sound(phone)
    phone.get_by_role("button", name="Keep the remark").tap()
    expect(phone.get_by_text("“The door hides the den.”")).to_be_visible()
    assert Remark.objects.count() == 1
    operator.goto(f"{site.url}/")
    expect(operator.get_by_text("New on your record: a remark on a case.")).to_be_visible()
    operator.get_by_role("link", name="your record").click()
    operator.get_by_role("link", name="the case of this remark").click()
    expect(operator.get_by_text("“The door hides the den.”")).to_be_visible()
    sound(operator)


@pytest.mark.proof
def test_nothing_scrolls_sideways_at_320_px_with_text_twice_as_large(site: Site, three: Any, manager: Any) -> None:
    from tests.trainer.conftest import FIRST
    from trainer.roster.models import Appeal

    change = KitChange.objects.create(person=three.insider, kit="plover-four", parts=["phone"], made_at=FIRST)
    Appeal.objects.create(person=three.insider, state="due", words=APPEAL, made_at=FIRST)
    person, narrow = three.insider.pk, {"viewport": {"width": 320, "height": 640}}
    over = {}
    for who, paths in (
        (manager, (f"/people/{person}/", f"/people/{person}/decide/", "/appeals/", "/assign/")),
        (
            three.trainer,
            (f"/observe/{person}/", f"/people/{person}/kit/?kit=bittern-six", f"/kit-changes/{change.pk}/"),
        ),
    ):
        page = page_for(site, who, narrow)
        for path in paths:
            page.goto(site.url + path)
            page.wait_for_selector("html[data-everywhere]", state="attached")
            for summary in page.locator("#about summary").all():
                summary.click()
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            over[path] = too_wide_px(page)
    assert {path: px for path, px in over.items() if px > 0} == {}
