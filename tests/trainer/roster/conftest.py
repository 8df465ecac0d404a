"""The people of a firm in every role, and some of other teams and firms, for tests of what people enter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client

OTHERS = ("anonymous", "insider", "mate", "outsider", "east_trainer", "east_manager", "away_owner")
"""Everybody who decides nothing about the insider."""


@dataclass(frozen=True)
class Firm:
    """One firm with two teams, and another firm; the insider works in the first team."""

    insider: Any
    mate: Any
    outsider: Any
    trainer: Any
    manager: Any
    owner: Any
    east_trainer: Any
    east_manager: Any
    away_owner: Any
    home: Any
    east: Any


@pytest.fixture
def firm(three: Any, hashed_password: str) -> Firm:
    """A manager and an owner beside the three, the leaders of another team of the firm, and another firm's owner."""
    from trainer.people.models import Membership, Person, Role, Team

    home = three.insider.memberships.get().team
    away = three.outsider.memberships.get().team
    east = Team.objects.create(firm=home.firm, name="East")

    def person(name: str, team: Team, role: str) -> Person:
        made = Person.objects.create(email=f"{name.lower()}@example.org", password=hashed_password, name=name)
        Membership.objects.create(person=made, team=team, role=role)
        return made

    return Firm(
        insider=three.insider,
        mate=three.mate,
        outsider=three.outsider,
        trainer=three.trainer,
        manager=person("Manager", home, Role.MANAGER),
        owner=person("Owner", home, Role.OWNER),
        east_trainer=person("Easttrainer", east, Role.TRAINER),
        east_manager=person("Eastmanager", east, Role.MANAGER),
        away_owner=person("Awayowner", away, Role.OWNER),
        home=home,
        east=east,
    )


@pytest.fixture
def visit(firm: Firm) -> Callable[[str], Client]:
    """A client signed in as one of them; "anonymous" is signed in as nobody."""

    def signed_in(who: str) -> Client:
        client = Client()
        if who != "anonymous":
            client.force_login(getattr(firm, who))
        return client

    return signed_in
