"""A firm with two teams and every role, and another firm beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@dataclass(frozen=True)
class House:
    """The firm: north has the three and a manager, east has a manager of its own, the owner owns it all."""

    firm: Any
    north: Any
    east: Any
    insider: Any
    mate: Any
    trainer: Any
    manager: Any
    east_manager: Any
    owner: Any
    second_owner: Any
    away: Any
    away_firm: Any
    away_owner: Any
    outsider: Any


@pytest.fixture
def house(three: Any, hashed_password: str) -> House:
    """The firm of the three, with those who decide."""
    from trainer.people.models import Membership, Person, Role, Team

    north, away = three.insider.memberships.get().team, three.outsider.memberships.get().team
    east = Team.objects.create(firm=north.firm, name="East", region="The east")

    def person(name: str, *places: tuple[Any, str]) -> Person:
        made = Person.objects.create(email=f"{name.lower()}@example.org", password=hashed_password, name=name)
        for team, role in places:
            Membership.objects.create(person=made, team=team, role=role)
        return made

    return House(
        firm=north.firm,
        north=north,
        east=east,
        insider=three.insider,
        mate=three.mate,
        trainer=three.trainer,
        manager=person("Manager", (north, Role.MANAGER)),
        east_manager=person("Eastmanager", (east, Role.MANAGER)),
        owner=person("Owner", (north, Role.OWNER)),
        second_owner=person("Second", (east, Role.OWNER)),
        away=away,
        away_firm=away.firm,
        away_owner=person("Awayowner", (away, Role.OWNER)),
        outsider=three.outsider,
    )
