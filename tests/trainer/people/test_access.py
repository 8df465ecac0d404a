"""Who may see whom: oneself, one's team, and never another one."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser

from trainer.people.access import followed, own, people_followed_by, people_named_to, teams_led_by, teams_of
from trainer.people.models import Membership, Role

pytestmark = pytest.mark.django_db


def names(people: Any) -> set[str]:
    return set(people.values_list("name", flat=True))


def test_an_operator_sees_names_of_the_team_and_records_of_nobody_else(three: Any) -> None:
    assert names(people_named_to(three.insider)) == {"Insider", "Mate", "Trainer"}
    assert names(people_followed_by(three.insider)) == {"Insider"}
    assert not teams_led_by(three.insider).exists()


def test_a_trainer_follows_the_operators_of_the_team(three: Any) -> None:
    assert names(people_followed_by(three.trainer)) == {"Insider", "Mate", "Trainer"}


def test_an_outsider_sees_nobody_of_another_team(three: Any) -> None:
    assert names(people_named_to(three.outsider)) == {"Outsider"}
    assert names(people_followed_by(three.outsider)) == {"Outsider"}


def test_a_passer_by_sees_nothing(three: Any) -> None:
    nobody = AnonymousUser()
    assert not people_named_to(nobody).exists()
    assert not people_followed_by(nobody).exists()
    assert not teams_of(nobody).exists()
    assert not teams_led_by(nobody).exists()
    assert not own(Membership.objects.all(), nobody).exists()


def test_a_change_of_role_counts_at_once(three: Any) -> None:
    role = three.trainer.memberships.get()
    role.delete()
    assert names(people_followed_by(three.trainer)) == {"Trainer"}
    Membership.objects.create(person=three.trainer, team=role.team, role=Role.MANAGER)
    assert names(people_followed_by(three.trainer)) == {"Insider", "Mate", "Trainer"}


def test_rows_are_fetched_by_the_same_rules(three: Any) -> None:
    rows = Membership.objects.all()
    assert {row.person.name for row in own(rows, three.insider)} == {"Insider"}
    assert {row.person.name for row in followed(rows, three.trainer)} == {"Insider", "Mate", "Trainer"}
    assert {row.person.name for row in followed(rows, three.outsider)} == {"Outsider"}
