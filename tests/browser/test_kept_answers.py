"""A connection comes and goes; an answer is sent once, and nothing is lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.sessions.models import Session
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.driving import PHONE, Site, rooms_of, stations_of
from trainer.drills.models import Answer, Attempt
from trainer.drills.void import void
from trainer.people.idle import SEEN

GRADE = re.compile(r"/grade/")


def test_an_answer_given_offline_is_kept_said_so_and_sent_on_return(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    page.context.set_offline(True)
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    assert Answer.objects.count() == 0
    page.context.set_offline(False)
    page.wait_for_url(GRADE)
    assert Answer.objects.count() == 1


def test_an_answer_kept_over_a_closed_page_goes_out_from_any_other(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    page.route("**/api/attempts/**", lambda route: route.abort())
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Sure", exact=True).tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    context = page.context
    page.close()
    other = context.new_page()
    other.goto(f"{site.url}/drills/")
    expect(other.get_by_text("What was kept on this phone has been sent.")).to_be_visible()
    assert Answer.objects.get().sureness == 3


def test_a_page_in_place_of_the_site_has_taken_nothing_in(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    said = {"status": 200, "content_type": "text/html", "body": "<h1>We are back soon.</h1>"}
    page.route("**/api/attempts/**", lambda route: route.fulfill(**said))
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    assert Answer.objects.count() == 0
    page.unroute("**/api/attempts/**")
    page.wait_for_url(GRADE)
    assert Answer.objects.count() == 1


def test_an_answer_outlives_the_end_of_a_session(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    address = site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"])
    page.context.clear_cookies()
    site.awaited.append("401 (Unauthorized)")
    page.get_by_role("button", name="Answer").click()
    with page.expect_response("**/answer/") as refused:
        page.get_by_role("button", name="Sure", exact=True).click()
    assert refused.value.status in {401, 403}
    expect(page.get_by_text("You are signed out. Your answer is kept on this phone")).to_be_visible()
    site.sign_in(page.context)
    page.goto(address)
    page.wait_for_url(GRADE)
    assert Answer.objects.count() == 1


def test_an_answer_outlives_a_session_that_nobody_used_for_long(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    address = site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    session = Session.objects.get().get_session_store_class()(Session.objects.get().pk)
    session[SEEN] -= settings.SESSION_IDLE_S + 60
    session.save()
    site.awaited.append("401 (Unauthorized)")
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    page.get_by_role("link", name="Sign in").last.tap()
    page.get_by_label("Email").fill(site.person.email)
    page.get_by_label("Password", exact=True).fill("a long and quiet password")
    page.get_by_role("main").get_by_role("button", name="Sign in").tap()
    page.wait_for_url(GRADE)
    assert address in page.url
    assert Answer.objects.get().sureness == 2


def test_an_answer_to_a_case_that_was_taken_out_is_told_why(
    site: Site, three: Any, tap_plan: Callable[..., None]
) -> None:
    site.awaited.append("409 (Conflict)")
    page = site.page(PHONE)
    site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    void(Attempt.objects.get(), by=three.trainer, reason="The leaf is drawn wrongly.", now=timezone.now())
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("This attempt was taken out of the record; start a new one.")).to_be_visible()
    page.get_by_role("link", name="Go on").tap()
    page.wait_for_url("**/drills/")
    expect(page.get_by_text("taken out of the record: The leaf is drawn wrongly. Start a new one.")).to_be_visible()
    assert page.evaluate("Object.keys(localStorage)") == []
    assert not Answer.objects.exists()


def test_a_kept_answer_that_comes_late_is_told_on_any_page(
    site: Site, three: Any, tap_plan: Callable[..., None]
) -> None:
    site.awaited.append("409 (Conflict)")
    page = site.page(PHONE)
    site.start(page)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    page.route("**/api/attempts/**", lambda route: route.abort())
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    void(Attempt.objects.get(), by=three.trainer, reason="The leaf is drawn wrongly.", now=timezone.now())
    other = page.context.new_page()
    page.close()
    other.goto(f"{site.url}/drills/")
    expect(other.get_by_text("Not taken: This attempt was taken out of the record; start a new one.")).to_be_visible()


def test_a_draft_is_there_again_after_a_reload(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    site.start(page)
    for room in rooms_of(page)[:2]:
        tap_plan(page, *room["spot"], by="touch")
    before = stations_of(page)
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert stations_of(page) == before


def test_a_case_that_is_still_being_made_is_waited_for(site: Site) -> None:
    from trainer.renders.models import Variation

    site.awaited.append("503 (Service Unavailable)")
    recipe = site.stock("place")
    Variation.objects.all().delete()
    page = site.page(PHONE)
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").tap()
    expect(page.get_by_text("This page tries again by itself.")).to_be_visible()
    site.stock("place")
    page.wait_for_selector("html[data-ready]", state="attached")
    assert Attempt.objects.count() == 1


def test_two_taps_never_make_two_attempts_or_two_answers(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    recipe = site.stock("place")
    page.goto(f"{site.url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").dblclick()
    page.wait_for_selector("html[data-ready]", state="attached")
    second = page.context.new_page()
    second.goto(f"{site.url}/drills/")
    second.locator(f"form[action$='/{recipe}/start/'] button").click()
    second.wait_for_selector("html[data-ready]", state="attached")
    assert second.url == page.url
    assert Attempt.objects.count() == 1
    tap_plan(page, *rooms_of(page)[0]["spot"])
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Sure", exact=True).dblclick()
    page.wait_for_url(GRADE)
    assert Answer.objects.count() == 1
