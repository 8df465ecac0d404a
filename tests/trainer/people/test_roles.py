"""Roles are given and taken by those who may, never to oneself upward, and a firm keeps an owner."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test import Client
from django.urls import reverse

from tests.trainer.people.conftest import NOW
from trainer.people.access import lasting, people_followed_by
from trainer.people.deactivate import deactivate, deactivated_in, end_sessions, reactivate
from trainer.people.leave import leave
from trainer.people.models import Membership, Role
from trainer.people.move import move
from trainer.people.roles import PeopleError, owners_of, roles_in
from trainer.people.set_roles import set_roles

pytestmark = pytest.mark.django_db
OPERATOR, TRAINER, MANAGER, OWNER = "operator", "trainer", "manager", "owner"


def test_roles_begin_and_end_and_nothing_is_removed(house: Any) -> None:
    set_roles(house.insider, house.north, [TRAINER], by=house.manager, now=NOW)
    assert roles_in(house.insider, house.north) == [TRAINER]
    ended = Membership.objects.get(person=house.insider, role=OPERATOR)
    assert (ended.until, ended.ended_by, ended.ended_how) == (NOW, house.manager, "taken")
    set_roles(house.insider, house.north, [OPERATOR, TRAINER], by=house.manager, now=NOW + timedelta(days=1))
    assert Membership.objects.filter(person=house.insider, role=OPERATOR).count() == 2


@pytest.mark.parametrize("who", ["insider", "trainer", "east_manager", "away_owner"])
def test_others_change_no_roles(who: str, house: Any) -> None:
    with pytest.raises(PermissionDenied):
        set_roles(house.mate, house.north, [TRAINER], by=getattr(house, who), now=NOW)
    assert roles_in(house.mate, house.north) == [OPERATOR]


def test_a_manager_makes_no_owner_and_changes_none(house: Any) -> None:
    with pytest.raises(PeopleError, match="Only an owner"):
        set_roles(house.mate, house.north, [OWNER], by=house.manager, now=NOW)
    for roles in ([], [OPERATOR], [OWNER, OPERATOR]):
        with pytest.raises(PeopleError, match="Only an owner"):
            set_roles(house.owner, house.north, roles, by=house.manager, now=NOW)
    set_roles(house.mate, house.north, [OWNER], by=house.owner, now=NOW)
    assert house.mate.pk in owners_of(house.firm)


@pytest.mark.parametrize("roles", [[MANAGER, TRAINER], [MANAGER, OPERATOR], [TRAINER]])
def test_nobody_gives_a_role_to_oneself(roles: list[str], house: Any) -> None:
    with pytest.raises(PeopleError, match="to oneself"):
        set_roles(house.manager, house.north, roles, by=house.manager, now=NOW)
    assert roles_in(house.manager, house.north) == [MANAGER]


def test_somebody_of_no_team_that_one_decides_for_is_not_brought_in(house: Any) -> None:
    with pytest.raises(PermissionDenied):
        set_roles(house.outsider, house.north, [OPERATOR], by=house.manager, now=NOW)
    with pytest.raises(PermissionDenied):
        set_roles(house.outsider, house.north, [OPERATOR], by=house.owner, now=NOW)
    set_roles(house.mate, house.east, [OPERATOR], by=house.owner, now=NOW)
    assert roles_in(house.mate, house.east) == [OPERATOR]


def test_one_leaves_a_team_and_the_record_stays_with_the_person(house: Any, graded_row: Any) -> None:
    attempt = graded_row(house.insider, {"D1": 1.0})
    assert house.insider in people_followed_by(house.manager)
    leave(house.insider, house.north, NOW)
    assert house.insider not in people_followed_by(house.manager)
    attempt.refresh_from_db()
    assert attempt.person == house.insider
    with pytest.raises(PeopleError, match="not in this team"):
        leave(house.insider, house.north, NOW)


def test_the_record_moves_with_the_person_and_the_old_team_sees_it_no_more(house: Any, graded_row: Any) -> None:
    graded_row(house.insider, {"D1": 1.0})
    set_roles(house.insider, house.north, [OPERATOR, TRAINER], by=house.owner, now=NOW)
    move(house.insider, house.north, house.east, by=house.owner, now=NOW)
    assert roles_in(house.insider, house.east) == [OPERATOR, TRAINER]
    assert roles_in(house.insider, house.north) == []
    assert house.insider in people_followed_by(house.east_manager)
    assert house.insider not in people_followed_by(house.manager)


@pytest.mark.parametrize("who", ["manager", "east_manager", "trainer", "insider", "away_owner"])
def test_only_who_decides_for_both_teams_moves_somebody(who: str, house: Any) -> None:
    with pytest.raises(PermissionDenied):
        move(house.insider, house.north, house.east, by=getattr(house, who), now=NOW)
    assert roles_in(house.insider, house.north) == [OPERATOR]


def test_nobody_is_moved_to_another_firm_or_by_a_manager_into_more(house: Any) -> None:
    Membership.objects.create(person=house.owner, team=house.away, role=OWNER)
    with pytest.raises(PermissionDenied):
        move(house.insider, house.north, house.away, by=house.owner, now=NOW)
    Membership.objects.create(person=house.manager, team=house.east, role=MANAGER)
    with pytest.raises(PeopleError, match="Only an owner"):
        move(house.owner, house.north, house.east, by=house.manager, now=NOW)


def test_the_last_owner_stays(house: Any) -> None:
    leave(house.owner, house.north, NOW)
    assert owners_of(house.firm) == {house.second_owner.pk}
    with pytest.raises(PeopleError, match="at least one owner"):
        leave(house.second_owner, house.east, NOW)
    with pytest.raises(PeopleError, match="at least one owner"):
        set_roles(house.second_owner, house.east, [MANAGER], by=house.second_owner, now=NOW)
    move(house.second_owner, house.east, house.north, by=house.second_owner, now=NOW)
    assert owners_of(house.firm) == {house.second_owner.pk}


@pytest.mark.django_db(transaction=True)
def test_two_owners_who_leave_at_once_leave_one_behind(house: Any) -> None:
    ready, refused = threading.Barrier(2), []

    def go(person: Any, team: Any) -> None:
        ready.wait()
        try:
            leave(person, team, NOW)
        except PeopleError:
            refused.append(person)
        finally:
            connection.close()

    threads = [
        threading.Thread(target=go, args=pair)
        for pair in ((house.owner, house.north), (house.second_owner, house.east))
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 1
    assert owners_of(house.firm) == {refused[0].pk}


def signed_in(person: Any) -> Client:
    client = Client()
    client.force_login(person, backend=settings.AUTHENTICATION_BACKENDS[0])
    return client


def test_who_is_deactivated_is_signed_out_everywhere_and_stays_so_after_coming_back(house: Any) -> None:
    phone = signed_in(house.mate)
    assert phone.get(reverse("settings")).status_code == 200
    deactivate(house.mate, house.firm, by=house.owner, now=NOW)
    house.mate.refresh_from_db()
    assert not house.mate.is_active
    assert phone.get(reverse("settings")).status_code == 302
    assert [row.person for row in deactivated_in(house.firm)] == [house.mate]
    reactivate(house.mate, house.firm, by=house.owner, now=NOW)
    house.mate.refresh_from_db()
    assert house.mate.is_active
    assert roles_in(house.mate, house.north) == [OPERATOR]
    assert phone.get(reverse("settings")).status_code == 302, "an old session does not come back to life"
    assert deactivated_in(house.firm) == []


def test_work_for_another_firm_goes_on_and_shows_nowhere(house: Any) -> None:
    Membership.objects.create(person=house.mate, team=house.away, role=Role.OPERATOR)
    deactivate(house.mate, house.firm, by=house.owner, now=NOW)
    house.mate.refresh_from_db()
    assert house.mate.is_active
    assert [row.person for row in deactivated_in(house.firm)] == [house.mate]
    assert set(lasting().filter(person=house.mate).values_list("team", flat=True)) == {house.away.pk}


@pytest.mark.parametrize("who", ["manager", "insider", "away_owner"])
def test_only_an_owner_of_the_firm_deactivates(who: str, house: Any) -> None:
    with pytest.raises(PermissionDenied):
        deactivate(house.mate, house.firm, by=getattr(house, who), now=NOW)
    deactivate(house.mate, house.firm, by=house.owner, now=NOW)
    with pytest.raises(PermissionDenied):
        reactivate(house.mate, house.firm, by=getattr(house, who), now=NOW)
    with pytest.raises(PermissionDenied):
        deactivate(house.outsider, house.firm, by=house.owner, now=NOW)
    with pytest.raises(PermissionDenied):
        reactivate(house.outsider, house.firm, by=house.owner, now=NOW)
    with pytest.raises(PeopleError, match="oneself"):
        deactivate(house.owner, house.firm, by=house.owner, now=NOW)


def test_who_left_by_oneself_is_not_brought_back_unasked(house: Any) -> None:
    leave(house.mate, house.north, NOW)
    assert deactivated_in(house.firm) == []
    with pytest.raises(PermissionDenied):
        reactivate(house.mate, house.firm, by=house.owner, now=NOW)


def test_who_was_taken_back_and_then_left_is_not_brought_back_either(house: Any) -> None:
    deactivate(house.mate, house.firm, by=house.owner, now=NOW)
    reactivate(house.mate, house.firm, by=house.owner, now=NOW + timedelta(days=1))
    leave(house.mate, house.north, NOW + timedelta(days=2))
    assert deactivated_in(house.firm) == []
    with pytest.raises(PermissionDenied):
        reactivate(house.mate, house.firm, by=house.owner, now=NOW + timedelta(days=3))


def test_all_sessions_can_be_ended_at_once(house: Any) -> None:
    browsers = [signed_in(house.insider) for _ in range(2)]
    end_sessions(house.insider)
    assert [one.get(reverse("settings")).status_code for one in browsers] == [302, 302]
