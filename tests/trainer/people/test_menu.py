"""The menu offers pages of those who lead to those who lead, and to nobody else."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone

from trainer.people.menu import leading
from trainer.people.models import Membership, Role

pytestmark = pytest.mark.django_db


def offered(visitor: Any) -> dict[str, bool]:
    request = RequestFactory().get("/")
    request.user = visitor
    return leading(request)


@pytest.mark.parametrize(
    ("role", "leads", "decides"),
    [
        (Role.OPERATOR, False, False),
        (Role.TRAINER, True, False),
        (Role.MANAGER, True, True),
        (Role.OWNER, True, True),
    ],
)
def test_it_goes_by_the_role(role: str, leads: bool, decides: bool, three: Any) -> None:
    Membership.objects.filter(person=three.insider).update(role=role)
    assert offered(three.insider) == {"leads": leads, "decides": decides}


def test_a_role_that_ended_offers_nothing(three: Any) -> None:
    Membership.objects.filter(person=three.trainer).update(until=timezone.now())
    assert offered(three.trainer) == {"leads": False, "decides": False}


def test_a_passer_by_is_offered_nothing(three: Any) -> None:
    assert offered(AnonymousUser()) == {"leads": False, "decides": False}


def test_pages_of_those_who_lead_stand_in_a_list_of_their_own(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert b"menu leading" not in client.get(reverse("settings")).content
    client.force_login(three.trainer)
    assert b"menu leading" in client.get(reverse("settings")).content
