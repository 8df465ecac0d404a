"""An invitation opens one team once, for a while; whatever is wrong with a code, it looks the same."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection

from tests.conftest import PASSWORD
from tests.trainer.people.conftest import NOW
from trainer.people.access import lasting
from trainer.people.codes import GROUPS, LETTERS, OF, digest_of, make_code
from trainer.people.deactivate import deactivate
from trainer.people.invite import invitations_for, invite, withdraw
from trainer.people.join import NoSuchInvitation, NotTaken, invitation_of, join, join_as_new
from trainer.people.models import Invitation, Membership, Person, Role
from trainer.people.roles import PeopleError

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


def newcomer(code: str, **fields: str) -> Person:
    given = {"name": "New One", "email": "new@example.org", "password": PASSWORD, **fields}
    return join_as_new(code, **given, now=LATER)


def test_a_code_holds_at_least_128_bits_and_only_its_digest_is_kept(house: Any) -> None:
    assert len(set(LETTERS)) ** (GROUPS * OF) >= 2**128
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    row = Invitation.objects.filter(pk=made.invitation.pk).values().get()
    assert made.code not in str(row)
    assert row["code_digest"] == digest_of(made.code)
    assert len({make_code() for _ in range(50)}) == 50


def test_a_code_is_read_however_it_was_typed(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    typed = made.code.upper().replace("-", " ")
    assert invitation_of(typed, LATER) == made.invitation


def test_a_newcomer_sets_name_address_and_password_and_is_in_the_team(house: Any) -> None:
    made = invite(house.north, roles=[Role.TRAINER, Role.OPERATOR], by=house.manager, now=NOW)
    person = newcomer(made.code, email="New@Example.org")
    assert person.email == "new@example.org"
    assert person.check_password(PASSWORD)
    rows = lasting().filter(person=person)
    assert {(row.team, row.role, row.given_by) for row in rows} == {
        (house.north, "operator", house.manager),
        (house.north, "trainer", house.manager),
    }


def test_somebody_of_the_site_joins_with_the_record_they_have(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.owner, now=NOW)
    join(made.code, house.outsider, LATER)
    assert set(lasting().filter(person=house.outsider).values_list("team", flat=True)) == {
        house.north.pk,
        house.away.pk,
    }


def spent(house: Any) -> dict[str, str]:
    """Codes that open nothing, by the reason."""
    made = {
        name: invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW, days=1)
        for name in ("used", "withdrawn", "maker left", "too old")
    }
    old = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW - timedelta(days=3), days=1)
    other = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW, email="else@example.org")
    gone = invite(house.east, roles=[Role.OPERATOR], by=house.east_manager, now=NOW)
    join(made["used"].code, house.mate, NOW)
    withdraw(made["withdrawn"].invitation, by=house.manager, now=NOW)
    deactivate(house.east_manager, house.firm, by=house.owner, now=NOW)
    return {
        "used": made["used"].code,
        "withdrawn": made["withdrawn"].code,
        "too old": old.code,
        "for somebody else": other.code,
        "made by somebody who left": gone.code,
        "never made": make_code(),
        "no code": "",
    }


@pytest.mark.parametrize(
    "reason",
    ["used", "withdrawn", "too old", "for somebody else", "made by somebody who left", "never made", "no code"],
)
def test_a_code_that_opens_nothing_says_nothing(reason: str, house: Any) -> None:
    code = spent(house)[reason]
    before = Membership.objects.count()
    with pytest.raises(NoSuchInvitation) as said:
        join(code, house.outsider, LATER)
    assert str(said.value) == ""
    assert Membership.objects.count() == before


def test_an_address_that_was_named_is_the_one_that_comes_in(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW, email="Named@example.org")
    assert newcomer(made.code, email="else@example.org").email == "named@example.org"


def test_an_address_that_signs_in_already_is_not_taken_over(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    with pytest.raises(NotTaken):
        newcomer(made.code, email="outsider@example.org")
    house.outsider.refresh_from_db()
    assert house.outsider.name == "Outsider"
    assert newcomer(made.code).name == "New One", "the code is not used up by the try"


def test_somebody_deactivated_elsewhere_comes_back_by_the_own_password_alone(house: Any) -> None:
    deactivate(house.mate, house.firm, by=house.owner, now=NOW)
    made = invite(house.away, roles=[Role.OPERATOR], by=house.away_owner, now=NOW)
    with pytest.raises(NotTaken):
        newcomer(made.code, email="mate@example.org", password="another long and quiet one")
    assert newcomer(made.code, email="mate@example.org") == house.mate
    house.mate.refresh_from_db()
    assert house.mate.is_active
    assert set(lasting().filter(person=house.mate).values_list("team", flat=True)) == {house.away.pk}


@pytest.mark.parametrize(
    ("fields", "where"),
    [({"name": " "}, "name"), ({"email": "nobody"}, "email"), ({"password": "short"}, "password")],
)
def test_what_a_newcomer_enters_is_checked(fields: dict[str, str], where: str, house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    with pytest.raises(NotTaken) as wrong:
        newcomer(made.code, **fields)
    assert set(wrong.value.fields) == {where}
    assert not Person.objects.filter(name="New One").exists()


@pytest.mark.parametrize("who", ["insider", "trainer", "east_manager", "away_owner"])
def test_only_who_decides_for_the_team_invites_and_withdraws(who: str, house: Any) -> None:
    with pytest.raises(PermissionDenied):
        invite(house.north, roles=[Role.OPERATOR], by=getattr(house, who), now=NOW)
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    with pytest.raises(PermissionDenied):
        withdraw(made.invitation, by=getattr(house, who), now=NOW)
    assert not invitations_for(getattr(house, who), NOW).filter(team=house.north).exists()


def test_a_manager_invites_no_owner_and_an_owner_does(house: Any) -> None:
    with pytest.raises(PeopleError, match="Only an owner"):
        invite(house.north, roles=[Role.OWNER], by=house.manager, now=NOW)
    assert invite(house.north, roles=[Role.OWNER], by=house.owner, now=NOW).invitation.roles == ["owner"]


@pytest.mark.parametrize("wrong", [{"roles": []}, {"roles": ["chief"]}, {"days": 400}, {"email": "no address"}])
def test_an_invitation_that_makes_no_sense_is_not_made(wrong: dict[str, Any], house: Any) -> None:
    with pytest.raises(PeopleError):
        invite(house.north, **{"roles": [Role.OPERATOR], "by": house.manager, "now": NOW, **wrong})
    assert not Invitation.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_many_who_use_a_code_at_once_one_comes_in(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=NOW)
    people = [Person.objects.create(email=f"crowd{i}@example.org", password="!", name=f"Crowd {i}") for i in range(6)]
    came, ready = [], threading.Barrier(len(people))

    def try_it(person: Person) -> None:
        ready.wait()
        try:
            join(made.code, person, LATER)
            came.append(person)
        except NoSuchInvitation:
            pass
        finally:
            connection.close()

    threads = [threading.Thread(target=try_it, args=[person]) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(came) == 1
    assert lasting().filter(team=house.north, person__name__startswith="Crowd").count() == 1
