"""A manager enters a reshoot, takes a file in, and reads what they went with; no fault that axe finds."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, DEVICE_NAMES, DEVICES, Site
from trainer.people.models import Membership, Role
from trainer.roster.models import Reshoot


@pytest.fixture(autouse=True)
def manager(site: Site, three: Any) -> Any:
    Membership.objects.create(person=three.trainer, team=three.insider.memberships.get().team, role=Role.MANAGER)
    site.person = three.trainer
    return three.trainer


@pytest.mark.parametrize("device", DEVICE_NAMES)
def test_a_reshoot_is_entered_and_shows_in_the_figures(site: Site, device: str) -> None:
    page, width = site.page(DEVICES[device]), DEVICES[device]["viewport"]["width"]
    page.goto(f"{site.url}/reshoots/")
    page.get_by_role("link", name="Enter a reshoot").click()
    page.get_by_label("What it went with").select_option("Spin stopped short")
    page.get_by_label("What it cost").fill("79,50")
    page.get_by_label("Who had shot it").select_option("Insider")
    assert faults_of(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Kept. It is in the log.")).to_be_visible()
    expect(page.get_by_role("row", name="Spin stopped short")).to_contain_text("n = 1")
    expect(page.get_by_text("go with Plan power")).to_contain_text("no drill practises it: a watched shoot shows it")
    assert faults_of(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert Reshoot.objects.get().person.name == "Insider"


@pytest.mark.proof
def test_a_bad_file_names_its_rows_and_a_mended_one_goes_in_whole(site: Site) -> None:
    site.awaited.append("400 (Bad Request)")
    page, day = site.page(DESKTOP), timezone.now().date().isoformat()
    page.goto(f"{site.url}/reshoots/file/")
    bad = f"day,cause,cost\n{day},Spin stopped short,79\n{day},ghosts,12\n"
    choose = page.get_by_label("File (CSV")
    choose.set_input_files({"name": "reshoots.csv", "mimeType": "text/csv", "buffer": bad.encode()})
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was entered: 1 thing to mend")
    expect(page.get_by_role("row", name="Row 3")).to_contain_text("This is no cause of the list.")
    assert faults_of(page) == []
    good = bad.replace("ghosts", "Smudge on the lens")
    choose.set_input_files({"name": "reshoots.csv", "mimeType": "text/csv", "buffer": good.encode()})
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_role("heading", name="The file would enter 2 reshoots")).to_be_visible()
    assert faults_of(page) == []
    assert not Reshoot.objects.exists()
    page.get_by_role("button", name="Enter all 2").click()
    expect(page.get_by_text("Entered: 2 reshoots.")).to_be_visible()
    assert Reshoot.objects.count() == 2
