"""Pages of those who lead and of one's own things, full of rows: no fault that axe finds, nothing beside the sheet.

One signed-in page for each role goes to all of its addresses, on a phone; then each is made as wide as a desk.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from tests.browser.axe import faults_of
from tests.browser.driving import PHONE, Site, sideways
from tests.trainer.config.world import OWN, World, build
from tests.trainer.conftest import attempt_row, entries, graded_row, made_tasks, stocked
from trainer.people.models import Person
from trainer.progress.catch_up import catch_up
from trainer.progress.standings import now_of_many

PAGES = {
    "owner": (
        "/people/", "/people/invite/", "/people/{person_id}/roles/", "/people/firms/{firm_id}/",
        "/people/firms/{firm_id}/teams/new/", "/people/teams/{team_id}/", "/readiness-rule/", "/house-standard/",
        "/kits/", "/kits/new/", "/kits/two-edges/", "/kits/{kit}/", "/work/", "/settings/teams/{team_id}/leave/",
    ),
    "manager": (
        "/team/", "/people/{person_id}/", "/people/{person_id}/decide/", "/people/{person_id}/kit/", "/appeals/",
        "/appeals/{appeal_id}/", "/reshoots/", "/reshoots/enter/", "/reshoots/jobs/", "/reshoots/file/",
        "/refreshers/", "/refreshers/{refresher_id}/",
    ),
    "trainer": (
        "/trainer/", "/assign/", "/flags/", "/flags/{flag_id}/", "/observe/", "/observe/{person_id}/",
        "/observed/{person_id}/", "/kit-changes/{change_id}/", "/check/beside/",
    ),
    "insider": (
        "/my-data/", "/appeal/", "/own-frame/", "/own-frame/{look_id}/", "/my-record/D1/",
        "/my-plan/{refresher_id}/", "/readiness-record/", "/readiness-record/{record_id}/", "/check/{check_id}/",
        "/attempts/{answered_id}/grade/",
    ),
    "anonymous": ("/confirm/{check_code}/", "/credentials/criteria/rule-1/"),
}  # fmt: skip
"""Addresses by who goes there; parts in brackets belong to the own team."""


@pytest.fixture
def world(site: Site, stocked: Any, three: Any, hashed_password: str, graded_row: Any) -> World:
    """Everybody of a firm, and something under every part of an address."""
    made = build(three, hashed_password, graded_row)
    catch_up()
    now_of_many(Person.objects.all(), timezone.now())
    return made


def test_axe_finds_no_fault_and_nothing_scrolls_sideways(site: Site, world: World) -> None:
    faults: list[str] = []
    for who, patterns in PAGES.items():
        site.person = world.people[who]
        page = site.page(PHONE, signed_in=site.person is not None)
        for pattern in patterns:
            path = pattern.format(**world.parts[OWN])
            reply = page.goto(site.url + path)
            assert reply is not None
            assert reply.status == 200, f"{who} at {path}: {reply.status}"
            page.wait_for_selector("html[data-everywhere]", state="attached")
            faults += [f"{path}: {fault}" for fault in faults_of(page)]
            faults += [f"{path} scrolls sideways on a {device}" for device in sideways(page)]
    assert not faults, "\n".join(faults)


__all__ = ["attempt_row", "entries", "graded_row", "made_tasks", "stocked"]
