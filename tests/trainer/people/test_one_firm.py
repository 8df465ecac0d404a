"""Pages of a firm's affairs, for somebody who leads in an older firm and owns a newer one."""

from __future__ import annotations

import uuid
from dataclasses import asdict
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from trainer.library import shelf
from trainer.library.models import Edition
from trainer.library.own import enter_kit, standards_of
from trainer.library.rules import rules_of
from trainer.people.models import Firm, Membership, Role, Team

pytestmark = pytest.mark.django_db
PAGES = ("readiness_rule", "limits")


@pytest.fixture
def newer(three: Any, stocked: Any) -> Firm:
    """A firm that the trainer owns, younger than the one they train in."""
    team = Team.objects.create(firm=Firm.objects.create(name="Newer"), name="First")
    Membership.objects.create(person=three.trainer, team=team, role=Role.OWNER)
    return team.firm


@pytest.fixture
def trainer(three: Any, client: Client) -> Client:
    client.force_login(three.trainer)
    return client


def shown(client: Client, page: str, firm: Any = None) -> Any:
    return client.get(reverse(page), {} if firm is None else {"firm": str(firm)})


def home() -> Firm:
    """The firm in which the trainer trains."""
    return Firm.objects.get(name="Home")


@pytest.mark.parametrize("page", PAGES)
def test_the_firm_one_decides_for_comes_first_and_the_other_is_a_link_away(
    page: str, trainer: Client, newer: Firm
) -> None:
    told = shown(trainer, page).content.decode()
    assert "of Newer</h1>" in told
    assert f'href="?firm={home().pk}"' in told
    assert "Keep from that day" in told
    other = shown(trainer, page, home().pk).content.decode()
    assert "of Home</h1>" in other
    assert f'href="?firm={newer.pk}"' in other
    assert "Keep from that day" not in other
    assert trainer.post(f"{reverse(page)}?firm={home().pk}", {"preview": ""}).status_code == 404


@pytest.mark.parametrize(("page", "kept"), [("readiness_rule", rules_of), ("limits", standards_of)])
def test_a_change_goes_to_the_firm_whose_page_it_was(
    page: str, kept: Any, trainer: Client, newer: Firm, three: Any
) -> None:
    """Also where another firm would come first: the form says whose it is."""
    Membership.objects.create(person=three.trainer, team=home().teams.get(), role=Role.OWNER)
    assert "of Home</h1>" in shown(trainer, page).content.decode()
    told = shown(trainer, page, newer.pk).content.decode()
    assert f'action="?firm={newer.pk}"' in told
    day = (timezone.now().date() + timedelta(days=1)).isoformat()
    sent = trainer.post(f"{reverse(page)}?firm={newer.pk}", {"keep": "", "holds_from": day})
    assert sent["Location"] == f"{reverse(page)}?firm={newer.pk}"
    assert len(kept(newer)) == 1
    assert kept(home()) == []


@pytest.mark.parametrize("page", [*PAGES, "kit_new"])
def test_another_firm_is_as_if_it_were_not_there(page: str, trainer: Client, newer: Firm, three: Any) -> None:
    away = three.outsider.memberships.get().team.firm
    trainer.get(reverse("cautions"))
    replies = []
    for named in (away.pk, uuid.uuid4(), "nothing", ""):
        with CaptureQueriesContext(connection) as queries:
            reply = shown(trainer, page, named)
        replies.append((reply.status_code, len(queries), len(reply.content)))
        assert "Away" not in reply.content.decode()
    assert len(set(replies)) == 1
    assert replies[0][0] == 404


def test_a_kit_is_entered_for_the_chosen_firm_and_changed_in_its_own(trainer: Client, newer: Firm, three: Any) -> None:
    assert "Enter a kit of Newer" in shown(trainer, "kit_new").content.decode()
    assert shown(trainer, "kit_new", home().pk).status_code == 404
    Membership.objects.create(person=three.trainer, team=home().teams.get(), role=Role.MANAGER)
    assert "Enter a kit of Home" in shown(trainer, "kit_new").content.decode()
    body = {**asdict(shelf.kit("heron-three")), "title": "Ours"}
    made = enter_kit(newer, body, by=three.trainer, now=timezone.now())
    page = reverse("kit_edit", args=[made.name])
    assert "Change a kit of Newer" in trainer.get(page).content.decode()
    typed = {name: str(value) for name, value in body.items()}
    assert trainer.post(f"{reverse('kit_new')}?firm={newer.pk}", {**typed, "title": "Second"}).status_code == 302
    assert trainer.post(page, {**typed, "title": "Ours, mended"}).status_code == 302
    titles = Edition.objects.filter(firm=newer, current=True).values_list("body__title", flat=True)
    assert sorted(titles) == ["Ours, mended", "Second"]
    assert not Edition.objects.filter(firm=home()).exists()
