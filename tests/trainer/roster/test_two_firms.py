"""Somebody who works for two firms, or went from one to another: what one entered is not told to the other."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.drills.answer import answer
from trainer.drills.flag import flag
from trainer.drills.models import Attempt, CaseVoid
from trainer.drills.settle import let_stand, void_case
from trainer.people.models import Firm, Membership, Person, Role, Team
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


@pytest.fixture
def elder(firm: Any) -> Team:
    """A team of another firm, older than the home firm, where the insider works too."""
    team: Team = firm.away_owner.memberships.get().team
    Firm.objects.filter(pk=team.firm_id).update(made_at=timezone.now() - timedelta(days=4000))
    Membership.objects.create(person=firm.insider, team=team, role=Role.OPERATOR)
    return team


def test_who_decides_here_and_trains_there_decides_for_here(firm: Any, elder: Team) -> None:
    Membership.objects.create(person=firm.manager, team=elder, role=Role.TRAINER)
    now = timezone.now()
    held = decide(firm.insider, by=firm.manager, key=uuid.uuid4(), what="hold", reason="Stood on treads.", until=None,
                  seen=None, now=now)  # fmt: skip
    noted = sign(firm.insider, by=firm.manager, key=uuid.uuid4(), shot_on=now.date(), signed=False, words="",
                 seen=dict.fromkeys(starred(), "done"), now=now)  # fmt: skip
    assert held.firm_id == firm.home.firm_id
    assert noted.firm_id == elder.firm_id
    assert now_of(firm.insider, now, firm.away_owner).state == "untried"


def test_who_leads_another_team_there_enters_for_here(firm: Any, elder: Team) -> None:
    west = Team.objects.create(firm=elder.firm, name="West")
    Membership.objects.create(person=firm.manager, team=west, role=Role.MANAGER)
    made = decide(firm.insider, by=firm.manager, key=uuid.uuid4(), what="hold", reason="Stood on treads.", until=None,
                  seen=None, now=timezone.now())  # fmt: skip
    assert made.firm_id == firm.home.firm_id


def test_a_case_is_void_for_the_firm_whose_trainer_said_so(firm: Any, elder: Team, graded_row: Any) -> None:
    Membership.objects.create(person=firm.trainer, team=elder, role=Role.OPERATOR)
    raised = flag(graded_row(firm.insider, {"D1": 0.2}), by=firm.insider, words="A door is wrong.", now=timezone.now())
    void_case(raised, by=firm.trainer, reason="The leaf is drawn wrongly.", now=timezone.now())
    assert CaseVoid.objects.get().firm_id == firm.home.firm_id


def test_what_one_firm_said_of_a_flag_is_not_told_to_the_other(firm: Any, elder: Team, graded_row: Any) -> None:
    away = Person.objects.create(email="awaytrainer@example.org", password=firm.owner.password, name="Awaytrainer")
    Membership.objects.create(person=away, team=elder, role=Role.TRAINER)
    rows = [graded_row(firm.insider, {"D1": 0.2}, fingerprint=case) for case in ("one", "two")]
    flags = [flag(row, by=firm.insider, words="A door is wrong.", now=timezone.now()) for row in rows]
    listed = reverse("flags")
    assert seen_by(away, listed).count("A door is wrong.") == 2
    let_stand(flags[0], by=firm.trainer, words="It swings into the hall.", now=timezone.now())
    void_case(flags[1], by=firm.trainer, reason="The leaf is drawn wrongly.", now=timezone.now())
    assert seen_by(firm.trainer, listed).count("A door is wrong.") == 2
    assert "A door is wrong." not in seen_by(away, listed)
    client = Client()
    client.force_login(away)
    for one in flags:
        for name in ("flagged", "fault_report"):
            assert client.get(reverse(name, args=[one.pk])).status_code == 404


def test_why_a_case_was_taken_out_is_told_where_it_was_said(firm: Any, elder: Team, issued: Any) -> None:
    now = timezone.now()
    answer(issued, client_key=uuid.uuid4(), body={"stations": []}, sureness=1, answered_at=now, now=now)
    raised = flag(Attempt.objects.get(pk=issued.pk), by=firm.insider, words="A door is wrong.", now=now)
    void_case(raised, by=firm.trainer, reason="The leaf is drawn wrongly.", now=now)
    page = reverse("graded", args=[issued.pk])
    assert "The leaf is drawn wrongly." in seen_by(firm.insider, page)
    assert "The leaf is drawn wrongly." in seen_by(firm.owner, page)
    away = seen_by(firm.away_owner, page)
    assert "was taken out of the record" in away
    assert "The leaf is drawn wrongly." not in away
