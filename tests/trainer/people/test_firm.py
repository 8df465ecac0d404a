"""A real firm begins with a code that opens it once; its teams and its rules are its owner's."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from tests.trainer.people.conftest import NOW
from trainer.people.firm import FOUNDING_DAYS, found, let_found, make_team, may_found, name_team, set_firm
from trainer.people.models import Firm, Founding, Membership, Person
from trainer.people.roles import PeopleError, owners_of

pytestmark = pytest.mark.django_db


def owner(email: str = "first@example.org") -> Person:
    return Person(email=email, name="First Owner", password="!")


def test_a_code_opens_one_firm_once(db: None) -> None:
    code = let_found(NOW)
    assert may_found(code, NOW)
    assert code not in str(Founding.objects.values().get())
    firm = found(code, owner(), firm="A firm", team="North", region="The north", now=NOW)
    assert not firm.invented
    row = Membership.objects.get()
    assert (row.team.name, row.team.region, row.role, row.team.firm) == ("North", "The north", "owner", firm)
    assert not may_found(code, NOW)
    with pytest.raises(PeopleError):
        found(code, owner("second@example.org"), firm="B", team="T", region="", now=NOW)
    assert Firm.objects.count() == 1


def test_a_code_is_too_old_after_some_days_and_an_unknown_one_opens_nothing(db: None) -> None:
    code = let_found(NOW)
    assert not may_found(code, NOW + timedelta(days=FOUNDING_DAYS))
    for wrong, at in ((code, NOW + timedelta(days=FOUNDING_DAYS)), ("nothing", NOW), ("", NOW)):
        with pytest.raises(PeopleError, match="opens nothing"):
            found(wrong, owner(), firm="A", team="T", region="", now=at)
    assert not Firm.objects.exists()
    assert not Person.objects.exists()


@pytest.mark.parametrize("wrong", [{"firm": " "}, {"team": ""}, {"firm": "x" * 121}, {"region": "x" * 81}])
def test_what_is_wrong_leaves_the_code_unused(wrong: dict[str, str], db: None) -> None:
    code = let_found(NOW)
    with pytest.raises(PeopleError):
        found(code, owner(), now=NOW, **{"firm": "A", "team": "T", "region": "", **wrong})
    assert may_found(code, NOW)
    assert not Person.objects.exists()


def test_nobodys_address_is_taken_over(house: Any) -> None:
    code = let_found(NOW)
    with pytest.raises(PeopleError, match="signs in here already"):
        found(code, owner("mate@example.org"), firm="A", team="T", region="", now=NOW)
    found(code, house.mate, firm="A", team="T", region="", now=NOW)
    assert Person.objects.filter(email="mate@example.org").count() == 1


def test_an_owner_makes_and_names_teams_and_nobody_else_does(house: Any) -> None:
    made = make_team(house.firm, name=" South  coast ", region="Coast", by=house.owner, now=NOW)
    assert (made.name, made.region) == ("South coast", "Coast")
    name_team(made, name="Coast", region="", by=house.second_owner)
    made.refresh_from_db()
    assert (made.name, made.region) == ("Coast", "")
    name_team(made, name="Coast", region="Far", by=house.owner)
    with pytest.raises(PeopleError, match="of that name"):
        name_team(made, name="North", region="", by=house.owner)
    for who in (house.manager, house.insider, house.away_owner):
        with pytest.raises(PermissionDenied):
            make_team(house.firm, name="X", region="", by=who, now=NOW)
        with pytest.raises(PermissionDenied):
            name_team(made, name="X", region="", by=who)
        with pytest.raises(PermissionDenied):
            set_firm(house.firm, name="X", keeps_evidence=False, by=who)


def test_an_owner_says_what_is_kept_of_erased_people(house: Any) -> None:
    set_firm(house.firm, name="Another name", keeps_evidence=False, by=house.owner)
    house.firm.refresh_from_db()
    assert (house.firm.name, house.firm.keeps_evidence) == ("Another name", False)
    assert len(owners_of(house.firm)) == 2
