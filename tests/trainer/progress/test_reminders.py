"""Reminders: to those who asked and have something due, once a day, in words without figures about the person."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.core.management import CommandError, call_command

from trainer.people.models import Firm
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record
from trainer.progress.reminders import SUBJECT, due_for, remind, those_who_asked
from trainer.roster.models import Assignment, Plan, Refresher, Reminded

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 2, 7, tzinfo=UTC)
DAY = timedelta(days=1)
SITE = "https://levelhead.example"


@pytest.fixture
def asked(three: Any) -> Any:
    """The insider wants to be reminded."""
    three.insider.reminded = True
    three.insider.save()
    return three.insider


@pytest.fixture
def assignment(three: Any) -> Assignment:
    made: Assignment = Assignment.objects.create(
        person=three.insider, by=three.trainer, recipe="a-recipe", count=2, due_on=date(2026, 3, 9), made_at=NOW - DAY
    )
    return made


@pytest.fixture
def plan(three: Any) -> Plan:
    row = Refresher.objects.create(
        team=three.insider.memberships.get().team, by=three.trainer, ready_on=date(2026, 4, 1), title="Season starts",
        made_at=NOW,
    )  # fmt: skip
    made: Plan = Plan.objects.create(
        refresher=row, person=three.insider, wanted={"D2": 4}, minutes=5, chance=0.41, made_at=NOW
    )
    return made


def run(now: datetime = NOW) -> list[EmailMessage]:
    sent: list[EmailMessage] = []
    assert remind(those_who_asked(), now, site=SITE, send=sent.append) == len(sent)
    return sent


def test_only_who_asked_and_has_something_due_is_sent_a_mail(asked: Any, three: Any, assignment: Assignment) -> None:
    Assignment.objects.create(person=three.mate, by=three.trainer, recipe="a-recipe", count=1, made_at=NOW - DAY)
    (one,) = run()
    assert one.to == ["insider@example.org"]
    assert one.subject == SUBJECT
    assert "- a-recipe: 2 drills to do, asked by Trainer, until 9 March." in one.body
    assert "parked, engine off" in one.body
    assert f"{SITE}/settings/" in one.body
    assert one.extra_headers["Auto-Submitted"] == "auto-generated"


def test_somebody_with_nothing_due_hears_nothing(asked: Any) -> None:
    assert run() == []
    assert not Reminded.objects.exists()


def test_a_second_run_on_the_day_sends_nothing(asked: Any, assignment: Assignment) -> None:
    assert len(run()) == 1
    assert run(NOW + timedelta(hours=9)) == []
    assert Reminded.objects.get().on == NOW.date()


def test_what_is_due_without_a_day_comes_once_a_week_and_on_its_last_days(asked: Any, assignment: Assignment) -> None:
    days = [number for number in range(10) if run(NOW + number * DAY)]
    assert days == [0, 6, 7], "first, then the day before its last day and that day"


def test_a_sitting_brings_a_mail_on_its_day(asked: Any, plan: Plan, graded_row: Callable[..., Any]) -> None:
    days = {number: sent[0] for number in range(30) if (sent := run(NOW + number * DAY))}
    goal = (date(2026, 4, 1) - NOW.date()).days
    assert {goal - 14, goal - 3} <= set(days)
    assert min(days) == goal - 14, "before the first sitting nothing is due"
    assert "Season starts, ready by 1 April: 2 drills of your plan." in days[goal - 14].body
    assert "4 drills of your plan" in days[goal - 3].body


def test_who_keeps_up_with_the_plan_hears_nothing_of_it(asked: Any, plan: Plan, graded_row: Callable[..., Any]) -> None:
    for _ in range(4):
        graded_row(asked, {"D2": 1.0}, at=NOW + DAY)
    catch_up()
    Record.objects.update(due_at=NOW + 100 * DAY)
    assert not [line for line in due_for(asked, NOW + 27 * DAY) if "Season" in line.words]


def test_skills_that_are_due_are_told_without_figures(asked: Any, graded_row: Callable[..., Any]) -> None:
    graded_row(asked, {"D2": 0.37, "V1": 0.91}, at=NOW - 20 * DAY)
    catch_up()
    (one,) = run()
    said = one.body.replace(SITE, "")
    assert "Some of what you practised is best practised again now." in said
    assert not re.search(r"\d", said), "no figure at all"


def test_who_left_cannot_sign_in_or_was_made_up_is_not_mailed(asked: Any, assignment: Assignment) -> None:
    Firm.objects.update(invented=True)
    assert those_who_asked() == []
    Firm.objects.update(invented=False)
    assert those_who_asked() == [asked]
    asked.is_active = False
    asked.save()
    assert those_who_asked() == []
    asked.is_active = True
    asked.save()
    asked.memberships.update(until=NOW)
    assert those_who_asked() == []


def test_a_mail_that_fails_is_tried_again_and_hinders_nobody_else(
    asked: Any, three: Any, assignment: Assignment
) -> None:
    three.mate.reminded = True
    three.mate.save()
    Assignment.objects.create(person=three.mate, by=three.trainer, recipe="a-recipe", count=1, made_at=NOW - DAY)
    sent: list[EmailMessage] = []

    def fails_for_the_insider(one: EmailMessage) -> None:
        if one.to == [asked.email]:
            raise OSError("the mail server hung up")
        sent.append(one)

    with pytest.raises(OSError, match="hung up"):
        remind(those_who_asked(), NOW, site=SITE, send=fails_for_the_insider)
    assert [one.to for one in sent] == [["mate@example.org"]]
    assert [one.to for one in run(NOW + timedelta(hours=1))] == [["insider@example.org"]]


def test_the_command_sends_and_says_how_many(asked: Any, assignment: Assignment, capsys: Any, settings: Any) -> None:
    call_command("remind", site=SITE)
    assert capsys.readouterr().out == "1 of 1 people who asked for it were sent a mail.\n"
    assert [one.to for one in mail.outbox] == [["insider@example.org"]]
    assert mail.outbox[0].message()["List-Unsubscribe"] == f"<{SITE}/settings/>"
    call_command("remind", site=SITE)
    assert len(mail.outbox) == 1
    settings.ALLOWED_HOSTS = [".example.org"]
    with pytest.raises(CommandError, match="Say where the site is"):
        call_command("remind")
