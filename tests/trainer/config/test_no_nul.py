"""U+0000, which PostgreSQL takes in no text, is refused before a view hands it on."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.people.invite import invite
from trainer.people.models import Person, Role, Team

pytestmark = pytest.mark.django_db
OPEN = {"name": "Nina", "email": "nina@example.org", "password": "tall ladders in april"}


def test_a_form_of_a_passer_by_is_refused_whole(client: Client, owned: tuple[Team, Person]) -> None:
    team, owner = owned
    made = invite(team, roles=["operator"], by=owner, now=timezone.now())
    there = reverse("join", args=[made.code])
    assert client.post(there, {**OPEN, "name": "Ni\x00na"}).status_code == 400
    assert (
        client.post(there, {**OPEN, "more\x00": "x"}, content_type="application/x-www-form-urlencoded").status_code
        == 400
    )
    assert not Person.objects.filter(email=OPEN["email"]).exists()
    assert client.post(there, OPEN).status_code == 302
    assert Person.objects.get(email=OPEN["email"]).name == "Nina"


@pytest.mark.parametrize("query", ["region=%00", "kit=a%00b", "a%00=b"])
def test_an_address_is_refused(query: str, client: Client, owned: tuple[Team, Person]) -> None:
    client.force_login(owned[1])
    assert client.get(f"{reverse('team')}?{query}").status_code == 400
    assert client.get(f"{reverse('team')}?region=north").status_code == 200


@pytest.fixture
def owned(three: object, hashed_password: str) -> tuple[Team, Person]:
    """A team and its owner."""
    team = Team.objects.get(name="North")
    owner = Person.objects.create(email="owner@example.org", password=hashed_password, name="Owner")
    team.memberships.create(person=owner, role=Role.OWNER)
    return team, owner
