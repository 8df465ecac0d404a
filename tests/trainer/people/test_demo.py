"""The invented firm: every role, one random password kept to its owner, and never in production."""

from __future__ import annotations

import stat
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from trainer.people.invented import demo_password
from trainer.people.models import Membership, Person, Role

pytestmark = pytest.mark.django_db


@pytest.fixture
def said(settings: Any, tmp_path: Path) -> str:
    settings.DEMO, settings.VAR = True, tmp_path
    out = StringIO()
    call_command("demo", stdout=out)
    return out.getvalue()


def test_it_has_every_role_and_prints_how_to_sign_in(said: str, settings: Any) -> None:
    assert set(Membership.objects.values_list("role", flat=True)) == set(Role.values)
    password = demo_password(settings.VAR / "demo_sign_in")
    assert password in said
    for person in Person.objects.all():
        assert person.email in said
    client = Client()
    fields = {"login": "operator@levelhead.example", "password": password}
    assert client.post(reverse("account_login"), fields).status_code == 302


def test_its_password_is_random_and_kept_to_its_owner(said: str, settings: Any, tmp_path: Path) -> None:
    path = settings.VAR / "demo_sign_in"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert demo_password(path) == demo_password(path)
    assert demo_password(tmp_path / "other") != demo_password(path)


def test_made_again_it_changes_nothing(said: str, settings: Any) -> None:
    before = list(Person.objects.order_by("email").values_list("pk", "password"))
    out = StringIO()
    call_command("demo", stdout=out)
    assert out.getvalue() == said
    assert list(Person.objects.order_by("email").values_list("pk", "password")) == before


@pytest.mark.parametrize(("production", "demo"), [(True, True), (True, False), (False, False)])
def test_it_is_refused_in_production_and_unless_asked_for(production: bool, demo: bool, settings: Any) -> None:
    settings.PRODUCTION, settings.DEMO = production, demo
    with pytest.raises(CommandError, match="never in production"):
        call_command("demo", stdout=StringIO())
    assert not Person.objects.exists()
