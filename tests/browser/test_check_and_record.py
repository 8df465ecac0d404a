"""A readiness check on a phone from its first case to its end, and the record made of it, checked from outside."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, press_until, rooms_of, too_wide_px
from tests.trainer.conftest import attempt_row, graded_row  # noqa: F401
from trainer.drills.models import Answer, Check, Entry
from trainer.library.rules import SITE_RULE
from trainer.progress.models import ReadinessRecord

CHECK = re.compile(r"/check/$")


def many_cases(site: Site) -> None:
    """One made case under many looks, so that nobody sees one twice."""
    from trainer.renders.models import Variation

    site.stock("place")
    [row] = Variation.objects.all()
    for number in range(SITE_RULE.check_most):
        row.pk, row.seed, row.fingerprint = None, number, f"{number:02d}".ljust(64, "f")
        row.task = {**row.task, "fingerprint": row.fingerprint, "guess_floor": 0.0}
        row.save(force_insert=True)


def answer_one(page: Page, tap: Callable[..., None]) -> None:
    """Put one station down and send it."""
    page.wait_for_selector("html[data-ready]", state="attached")
    phone = (page.viewport_size or {"width": 0})["width"] < 500
    tap(page, *rooms_of(page)[0]["spot"], by="touch" if phone else "mouse")
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Fairly sure").click()


def faults(page: Page, where: str) -> list[str]:
    page.wait_for_selector("html[data-everywhere]", state="attached")
    wide = too_wide_px(page)
    found = [f"{where}: {fault}" for fault in faults_of(page)]
    return [*found, f"{where} scrolls {wide} px sideways"] if wide > 0 else found


def test_a_check_on_the_phone_from_its_first_case_to_its_explained_end(
    site: Site, tap_plan: Callable[..., None]
) -> None:
    many_cases(site)
    page, bad = site.page(PHONE), []
    page.goto(f"{site.url}/check/")
    bad += faults(page, "before")
    page.get_by_role("button", name="Open a check").tap()
    expect(page.get_by_text("Nobody sits beside yet.")).to_be_visible()
    page.get_by_role("button", name="First case").tap()
    expect(page.get_by_text("Check, case 1")).to_be_visible()
    answer_one(page, tap_plan)
    page.wait_for_url(CHECK)
    expect(page.get_by_text("1 case answered")).to_be_visible()
    bad += faults(page, "open")
    assert not Entry.objects.exists()

    page.get_by_role("button", name="Next").tap()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.context.set_offline(True)
    answer_one(page, tap_plan)
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    assert Answer.objects.count() == 1
    page.context.set_offline(False)
    page.wait_for_url(CHECK)
    expect(page.get_by_text("2 cases answered")).to_be_visible()

    desk = site.page(DESKTOP)
    desk.goto(f"{site.url}/check/")
    desk.get_by_role("button", name="Next").click()
    desk.wait_for_selector("html[data-ready]", state="attached")
    page.reload()
    page.get_by_role("link", name="Go on with case 3").tap()
    page.wait_for_url(desk.url)
    answer_one(desk, tap_plan)
    desk.wait_for_url(CHECK)

    page.goto(f"{site.url}/check/")
    for _ in range(SITE_RULE.check_most):
        page.get_by_role("button", name="Next").tap()
        page.wait_for_url(re.compile(r"/attempts/|/check/[0-9a-f-]{36}/"))
        if "/attempts/" not in page.url:
            break
        answer_one(page, tap_plan)
        page.wait_for_url(CHECK)
        expect(page.get_by_text("Holds")).to_have_count(0)
    check = Check.objects.get()
    assert SITE_RULE.check_least <= check.end.count == Answer.objects.count() == Entry.objects.count()
    expect(page.get_by_role("link", name=re.compile(r"^\d+\. "))).to_have_count(check.end.count)
    expect(page.get_by_text("Not supervised: nobody sat beside.")).to_be_visible()
    bad += faults(page, "end")
    page.get_by_role("link", name=re.compile(r"^1\. ")).tap()
    page.wait_for_selector("html[data-ready]", state="attached")
    bad += faults(page, "a case, explained")
    page.get_by_role("link", name="Every case of this check").tap()
    page.wait_for_url(re.compile(r"/check/[0-9a-f-]{36}/"))
    assert not bad, "\n".join(bad)


@pytest.mark.proof
def test_giving_up_is_said_and_what_was_answered_is_explained(site: Site, tap_plan: Callable[..., None]) -> None:
    many_cases(site)
    page = site.page(PHONE)
    page.goto(f"{site.url}/check/")
    page.get_by_role("button", name="Open a check").tap()
    page.get_by_role("button", name="First case").tap()
    answer_one(page, tap_plan)
    page.wait_for_url(CHECK)
    page.get_by_text("Give it up").tap()
    page.get_by_role("button", name="Give the check up").tap()
    expect(page.get_by_text("It was given up after 1 case; what was answered counts.")).to_be_visible()
    page.goto(f"{site.url}/check/")
    expect(page.get_by_text("The next check may be opened on")).to_be_visible()


def test_a_record_is_made_printed_confirmed_from_outside_and_revoked(
    site: Site,
    graded_row: Any,  # noqa: F811
    tmp_path: Path,
) -> None:
    site.awaited.append("404 (Not Found)")
    for _ in range(3):
        graded_row(site.person, {"D1": 1.0, "D2": 0.5})
    page, bad = site.page(PHONE), []
    page.goto(f"{site.url}/readiness-record/")
    bad += faults(page, "form")
    press_until(page, "Tab", "input[name='consent']")
    page.keyboard.press("Space")
    press_until(page, "Tab", "form button.primary")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/readiness-record/[0-9a-f-]{36}/"))
    bad += faults(page, "sheet")
    record = ReadinessRecord.objects.get()
    code = page.locator(".code").inner_text()
    assert code.replace("-", "") == record.code

    checked = {"outcome": "ready", "words": "Ready, by this check", "on": "2026-03-01", "count": 18, "score": 86.0,
               "low": 80.0, "high": 91.0, "supervised": True, "opened_in_a_year": 2}  # fmt: skip
    record.body = {**record.body, "check": checked, "shoot": {"on": "2026-02-20", "signed": True}}
    record.save()
    desk = site.page(DESKTOP)
    desk.goto(page.url)
    desk.emulate_media(media="print")
    for size in ("A4", "Letter"):
        printed = tmp_path / f"{size}.pdf"
        desk.pdf(path=printed, format=size, margin=dict.fromkeys(("top", "bottom", "left", "right"), "12mm"))
        [sheet] = PdfReader(printed).pages
        assert code in sheet.extract_text(), "the whole sheet is on one page"
    assert not desk.locator(".masthead").is_visible()
    assert not desk.get_by_role("button", name="Revoke this record").is_visible()

    outside = site.page(PHONE, signed_in=False)
    outside.goto(f"{site.url}/confirm/")
    bad += faults(outside, "confirm")
    outside.get_by_label("Check code").fill(code.lower())
    outside.get_by_role("button", name="Ask").tap()
    expect(outside.get_by_role("heading", name="The record stands")).to_be_visible()
    expect(outside.get_by_text("Today the state is the same: in training.")).to_be_visible()
    bad += faults(outside, "stands")
    address = outside.url

    page.get_by_role("button", name="Revoke this record").tap()
    expect(page.get_by_text("Revoked on")).to_be_visible()
    outside.goto(address)
    expect(outside.get_by_role("heading", name="The record was revoked")).to_be_visible()
    expect(outside.get_by_text(site.person.name)).to_have_count(0)
    bad += faults(outside, "revoked")
    outside.goto(f"{site.url}/confirm/3479-CDFG-HJKM-NPQR/")
    expect(outside.get_by_role("heading", name="No record has this code")).to_be_visible()
    bad += faults(outside, "unknown")
    assert not bad, "\n".join(bad)


@pytest.mark.proof
def test_a_trainer_says_on_their_own_phone_that_they_sit_beside(site: Site, three: Any) -> None:
    page = site.page(PHONE)
    page.goto(f"{site.url}/check/")
    page.get_by_role("button", name="Open a check").tap()
    site.person = three.trainer
    trainer = site.page(PHONE)
    trainer.goto(f"{site.url}/check/beside/")
    trainer.get_by_role("button", name="Sit beside Insider").tap()
    expect(trainer.get_by_text("you sit beside", exact=True)).to_be_visible()
    bad = faults(trainer, "beside")
    page.reload()
    expect(page.get_by_text("Trainer sits beside you")).to_be_visible()
    page.get_by_text("Give it up").tap()
    page.get_by_role("button", name="Give the check up").tap()
    trainer.reload()
    trainer.get_by_role("button", name="I stayed, nobody helped").tap()
    page.reload()
    expect(page.get_by_text("Supervised: Trainer sat beside from the first case to the last")).to_be_visible()
    assert not bad, "\n".join(bad)
