"""Pages of those who lead while there is nobody to lead, and where they lead in several firms."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.people.models import Firm, Membership, Role, Team

pytestmark = pytest.mark.django_db


def lead(person: Any, team: Team, role: str) -> Client:
    Membership.objects.create(person=person, team=team, role=role)
    client = Client()
    client.force_login(person)
    return client


def text(client: Client, name: str) -> str:
    return str(client.get(reverse(name)).content.decode())


@pytest.mark.parametrize("page", ["team", "trainer_board", "today"])
def test_without_an_operator_it_says_who_invites(page: str, three: Any) -> None:
    firm = Firm.objects.create(name="New")
    team = Team.objects.create(firm=firm, name="First")
    Membership.objects.filter(person=three.trainer).update(until=timezone.now())
    client = lead(three.trainer, team, Role.TRAINER)
    assert "No operator is in your teams yet. A manager or owner of your firm invites them" in text(client, page)
    lead(three.trainer, team, Role.OWNER)
    assert f'No operator is in your teams yet. <a href="{reverse("invite")}">' in text(client, page)
    assert 'class="filter"' not in text(client, page)
    Membership.objects.create(person=three.mate, team=team, role=Role.OPERATOR)
    assert "No operator is in your teams yet" not in text(client, page)


def test_teams_of_several_firms_stand_under_their_firm(three: Any) -> None:
    client = lead(three.trainer, three.insider.memberships.get().team, Role.MANAGER)
    for page in ("team", "refreshers", "reshoots"):
        assert "<optgroup" not in text(client, page)
    other = Team.objects.create(firm=Firm.objects.create(name="Another"), name="North", region="North")
    lead(three.trainer, other, Role.MANAGER)
    for page in ("team", "refreshers", "reshoots", "job_counts", "reshoot_enter", "reshoot_import"):
        shown = text(client, page)
        assert '<optgroup label="Another">' in shown, page
        assert f'<optgroup label="{three.insider.memberships.get().team.firm}">' in shown, page
    Membership.objects.create(person=three.mate, team=other, role=Role.OPERATOR)
    assert "North, North" not in text(client, "team")
