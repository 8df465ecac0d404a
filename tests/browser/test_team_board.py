"""The Team board as a manager uses it: on a phone, at a desk, with the keyboard alone, without scripts, on paper."""

from __future__ import annotations

import uuid
from datetime import UTC, timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site, press_until
from tests.trainer.conftest import attempt_row, graded_row  # noqa: F401
from trainer.people.models import Membership, Person, Role, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.standings import now_of_many
from trainer.roster.models import Decision, ObservedShoot
from trainer.roster.sign import starred


@pytest.fixture
def manager(site: Site, three: Any, graded_row: Any) -> Any:  # noqa: F811
    """A manager of the insider and the mate; one of them is sent by decision, the other has begun."""
    home = Team.objects.get(name="North")
    home.region = "Hills"
    home.save()
    person = Person.objects.create(email="manager@example.org", password=three.trainer.password, name="Manager")
    Membership.objects.create(person=person, team=home, role=Role.MANAGER)
    now = timezone.now().astimezone(UTC)
    for day in range(3):
        for code in ("A2", "B1", "D2", "V1"):
            graded_row(three.insider, {code: 1.0}, at=now - timedelta(days=4 - day))
    graded_row(three.mate, {"A2": 0.0}, at=now - timedelta(days=1))
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=now.date(), seen=dict.fromkeys(starred(), "done"), signed=True,
        client_key=uuid.uuid4(), made_at=now,
    )  # fmt: skip
    Decision.objects.create(
        person=three.insider, by=person, what="send", reason="studios only", until=now.date() + timedelta(days=5),
        made_at=now,
    )  # fmt: skip
    catch_up()
    # Told once before, as on any day; the first telling compiles kernels, which is not what is looked at here.
    now_of_many(Person.objects.all(), now)
    site.person = person
    return person


def width_of(page: Page) -> tuple[int, int]:
    """What the page takes and what there is."""
    wide, there = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    return int(wide), int(there)


@pytest.mark.usefixtures("manager")
def test_a_phone_shows_a_list_of_people_and_the_wide_table_scrolls_inside_itself(site: Site) -> None:
    page = site.page(PHONE)
    page.goto(f"{site.url}/team/")
    expect(page.get_by_role("heading", name="Can be sent out alone")).to_be_visible()
    expect(page.get_by_text("1 of 2")).to_be_visible()
    expect(page.get_by_role("link", name="Insider")).to_be_visible()
    expect(page.get_by_text("a shoot to watch")).to_be_visible()
    expect(page.locator("td.star").first).to_be_hidden()
    assert width_of(page)[0] <= width_of(page)[1]
    assert faults_of(page) == []
    page.get_by_role("link", name="Skill by skill").tap()
    # The row is there before the style sheets are: without them everything stands side by side.
    expect(page.get_by_role("link", name="People only")).to_be_visible()
    page.wait_for_load_state()
    expect(page.locator("td.star").first).to_be_visible()
    assert width_of(page)[0] <= width_of(page)[1]
    table = page.get_by_role("region", name="People and critical skills")
    before = page.locator("th.who").nth(1).bounding_box()
    table.evaluate("one => one.scrollLeft = 300")
    after = page.locator("th.who").nth(1).bounding_box()
    assert before is not None
    assert after is not None
    assert abs(before["x"] - after["x"]) < 2, "names stay while skills go by"
    assert faults_of(page) == []


@pytest.mark.usefixtures("manager")
def test_the_keyboard_alone_ticks_people_and_asks_what_is_missing(site: Site, three: Any) -> None:
    page = site.page(DESKTOP)
    page.goto(f"{site.url}/team/")
    for person in (three.insider, three.mate):
        press_until(page, "Tab", f"input[name='send'][value='{person.pk}']")
        page.keyboard.press("Space")
    press_until(page, "Shift+Tab", "form[action='#if-sent'] button.primary")
    page.keyboard.press("Enter")
    found = page.get_by_role("region", name="If you send these 2")
    expect(found).to_be_visible()
    expect(found).to_contain_text("Not ready to go alone: Mate (in training)")
    expect(found).to_contain_text("rests on Insider alone")
    expect(page.get_by_role("checkbox", name="Send Mate")).to_be_checked()
    assert faults_of(page) == []
    press_until(page, "Tab", f"a[href$='/{three.mate.pk}/']")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Mate", level=1)).to_be_visible()
    assert faults_of(page) == []


@pytest.mark.usefixtures("manager")
def test_it_works_without_scripts_and_on_paper(site: Site) -> None:
    page = site.page(DESKTOP, java_script_enabled=False)
    page.goto(f"{site.url}/team/")
    page.get_by_label("State", exact=True).select_option("in training")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.get_by_text("2 of them shown.")).to_be_visible()
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Show", exact=True)).to_be_hidden()
    expect(page.locator("td.star").first).to_be_visible()
    assert len(page.pdf(format="A4", landscape=True)) > 10_000


@pytest.mark.usefixtures("manager")
def test_the_trainer_board_is_read_on_a_phone(site: Site, three: Any) -> None:
    site.person = three.trainer
    page = site.page(PHONE)
    page.goto(f"{site.url}/trainer/")
    expect(page.get_by_role("heading", name="Do trainers agree?")).to_be_visible()
    assert width_of(page)[0] <= width_of(page)[1]
    assert faults_of(page) == []
