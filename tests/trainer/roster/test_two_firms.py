"""Somebody who works for two firms, or went from one to another: what one entered is not told to the other."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.people.models import Membership, Person, Role
from trainer.progress.standings import now_of
from trainer.roster.appeal import appeal
from trainer.roster.assign import assign, open_assignments
from trainer.roster.decide import decide
from trainer.roster.models import Appeal, Assignment, ObservedShoot
from trainer.roster.remark import remark
from trainer.roster.sign import sign, starred

pytestmark = pytest.mark.django_db
SECRETS = ("Stood on treads.", "Steady hands.", "Before Monday.", "Look at seams.", "I was on landings.")


@pytest.fixture
def entered(firm: Any, issued: Any) -> Any:
    """The insider works for both firms; the first has entered one thing of each kind."""
    away = firm.away_owner.memberships.get().team
    Membership.objects.create(person=firm.insider, team=away, role=Role.OPERATOR)
    now = timezone.now()
    sign(firm.insider, by=firm.trainer, key=uuid.uuid4(), shot_on=now.date(), signed=True, words="Steady hands.",
         seen=dict.fromkeys(starred(), "done"), now=now)  # fmt: skip
    decide(firm.insider, by=firm.manager, key=uuid.uuid4(), what="hold", reason="Stood on treads.", until=None,
           seen=None, now=now)  # fmt: skip
    assign([firm.insider], by=firm.trainer, key=uuid.uuid4(), recipes=[issued.recipe], count=2, words="Before Monday.",
           due_on=None, now=now)  # fmt: skip
    remark(firm.insider, issued.pk, by=firm.trainer, key=uuid.uuid4(), words="Look at seams.", now=now)
    appeal(firm.insider, key=uuid.uuid4(), state="held", words="I was on landings.", now=now)
    return firm


def seen_by(who: Person, *addresses: str) -> str:
    client = Client()
    client.force_login(who)
    return "".join(client.get(address).content.decode() for address in addresses)


def pages(person: Person) -> list[str]:
    at = [person.pk]
    return [
        reverse("person", args=at), reverse("shoots", args=at), reverse("decide", args=at), reverse("team"),
        reverse("team_sheet"), reverse("appeals"), reverse("trainer_board"),
    ]  # fmt: skip


def test_each_firm_sees_what_it_entered_and_the_other_nothing_of_it(entered: Any) -> None:
    home = seen_by(entered.owner, *pages(entered.insider))
    away = seen_by(entered.away_owner, *pages(entered.insider))
    own = seen_by(entered.insider, reverse("record"), reverse("shoots", args=[entered.insider.pk]))
    assert all(words in home for words in SECRETS)
    assert all(words in own for words in SECRETS)
    assert not [words for words in SECRETS if words in away]
    assert not [name for name in ("Trainer,", "by Trainer", "Manager decided", "Manager,") if name in away]


def test_a_hold_holds_for_the_firm_that_said_it(entered: Any) -> None:
    now = timezone.now()
    assert now_of(entered.insider, now).state == "held"
    assert now_of(entered.insider, now, entered.owner).state == "held"
    assert now_of(entered.insider, now, entered.away_owner).state == "untried"
    decide(entered.insider, by=entered.away_owner, key=uuid.uuid4(), what="send", reason="Knows our homes well.",
           until=now.date() + timedelta(days=3), seen=None, now=now)  # fmt: skip
    assert now_of(entered.insider, now, entered.away_owner).sent_until is not None
    assert now_of(entered.insider, now, entered.owner).sent_until is None
    assert now_of(entered.insider, now).state == "held", "oneself is told the stricter word of the two"


def test_what_the_other_firm_entered_cannot_be_undone_or_answered(entered: Any) -> None:
    client = Client()
    client.force_login(entered.away_owner)
    shoot, given, asked = ObservedShoot.objects.get(), Assignment.objects.get(), Appeal.objects.get()
    addresses = [
        reverse("strike", args=[shoot.pk]), reverse("withdraw", args=[given.pk]), reverse("reply", args=[asked.pk]),
    ]  # fmt: skip
    for address in addresses:
        assert client.post(address, {"reason": "A long reason.", "words": "A long answer."}).status_code == 404
    assert not hasattr(given, "withdrawal")
    assert Appeal.objects.get().firm == entered.home.firm


def test_who_has_left_is_asked_for_nothing_and_held_by_nobody_there(entered: Any) -> None:
    now = timezone.now()
    Membership.objects.filter(person=entered.insider, team=entered.home).update(until=now)
    assert not open_assignments(entered.insider)
    assert now_of(entered.insider, now).state == "untried"
    assert not [words for words in SECRETS if words in seen_by(entered.away_owner, *pages(entered.insider))]
    assert "Stood on treads." in seen_by(entered.insider, reverse("record"))
