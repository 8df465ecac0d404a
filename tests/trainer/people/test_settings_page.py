"""One's own settings."""

from __future__ import annotations

from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from trainer.people.models import Membership, Role

pytestmark = pytest.mark.django_db


@pytest.fixture
def insider(three: Any) -> Client:
    """The insider's browser."""
    client = Client()
    client.force_login(three.insider)
    return client


def test_units_are_kept_for_the_person_alone(insider: Client, three: Any) -> None:
    reply = insider.post(reverse("settings"), {"units": "ft", "email": "else@example.org", "is_active": ""})
    assert reply.status_code == 302
    three.insider.refresh_from_db()
    three.mate.refresh_from_db()
    assert (three.insider.units, three.mate.units) == ("ft", "m")
    assert three.insider.email == "insider@example.org", "nothing but units and reminders can be set here"
    assert three.insider.is_active


def test_an_unknown_unit_is_refused(insider: Client, three: Any) -> None:
    assert insider.post(reverse("settings"), {"units": "cubit"}).status_code == 200
    three.insider.refresh_from_db()
    assert three.insider.units == "m"


@pytest.mark.parametrize("name", ["settings", "account_change_password", "account_logout"])
def test_its_pages_parse(insider: Client, name: str) -> None:
    reply = insider.get(reverse(name))
    assert reply.status_code == 200
    html5lib.HTMLParser(strict=True).parse(reply.content.decode())


@pytest.mark.parametrize(
    "name", ["account_login", "account_reset_password", "account_reset_password_done", "account_signup"]
)
def test_the_pages_before_signing_in_parse(client: Client, name: str) -> None:
    html5lib.HTMLParser(strict=True).parse(client.get(reverse(name)).content.decode())


def test_reminders_are_asked_for_here(insider: Client, three: Any) -> None:
    insider.post(reverse("settings"), {"units": "m", "reminded": "on"})
    three.insider.refresh_from_db()
    assert three.insider.reminded
    insider.post(reverse("settings"), {"units": "m"})
    three.insider.refresh_from_db()
    assert not three.insider.reminded


def test_a_team_is_left_after_asking_once_more(insider: Client, three: Any) -> None:
    team = three.insider.memberships.get().team
    where = reverse("leave_team", args=[team.pk])
    assert where in insider.get(reverse("settings")).content.decode()
    html5lib.HTMLParser(strict=True).parse(insider.get(where).content.decode())
    assert insider.post(where).status_code == 302
    assert "You left North" in insider.get(reverse("settings")).content.decode()
    assert insider.get(where).status_code == 404
    away = three.outsider.memberships.get().team
    assert insider.post(reverse("leave_team", args=[away.pk])).status_code == 404


def test_the_last_owner_is_told_why_it_does_not_go(three: Any) -> None:
    membership = three.outsider.memberships.get()
    Membership.objects.filter(pk=membership.pk).update(role=Role.OWNER)
    client = Client()
    client.force_login(three.outsider)
    page = client.post(reverse("leave_team", args=[membership.team_id]), follow=True).content.decode()
    assert "A firm keeps at least one owner" in page
    membership.refresh_from_db()
    assert membership.until is None


def test_a_lost_phone_is_signed_out_and_this_browser_stays(insider: Client, three: Any) -> None:
    phone = Client()
    phone.force_login(three.insider)
    assert insider.post(reverse("sign_out_elsewhere")).status_code == 302
    assert insider.get(reverse("settings")).status_code == 200
    assert phone.get(reverse("settings")).status_code == 302
