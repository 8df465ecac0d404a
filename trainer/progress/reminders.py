"""Remind: one mail a person a day at most, to those who asked for it and have something due, in plain words.

A sitting of a plan or an assignment that ends brings a mail on its day; skills and readiness that are due bring one
when there was none for a week. A mail says what is due and holds no figure about how somebody stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.mail import EmailMessage
from django.urls import reverse

from trainer.people.access import lasting, own
from trainer.people.models import Person, Role
from trainer.progress.asked import asked_of
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record
from trainer.progress.own_plan import OwnPlan, own_plans
from trainer.progress.sittings import due_by
from trainer.progress.standings import now_of
from trainer.roster.models import Reminded

WEEK = timedelta(days=7)
AHEAD = timedelta(days=14)
"""So long before readiness runs out it is told."""
SUBJECT = "Levelhead: something is due"


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that is due, in words, and whether it is due on this very day."""

    words: str
    today: bool


def due_for(person: Person, now: datetime) -> list[Due]:
    """What is due of one person, most pressing first."""
    today = now.date()
    found = [line for plan in own_plans(person, now) if (line := _of_plan(plan, today)) is not None]
    for one in asked_of(person, now):
        if one.source == "assignment" and one.left:
            until = f", until {_on(one.due_on)}" if one.due_on else ""
            by = f", asked by {one.by}" if one.by else ""
            soon = one.due_on is not None and today <= one.due_on <= today + timedelta(days=1)
            found.append(Due(f"{one.title}: {_drills(one.left)} to do{by}{until}.", soon))
    stands = now_of(person, now)
    if stands.state in {"due", "lapsed"}:
        found.append(Due("Your readiness has to be brought up to date before you are sent alone again.", False))
    elif stands.due_on is not None and stands.due_on <= today + AHEAD:
        found.append(Due(f"Your readiness stands until {_on(stands.due_on)} without practice.", False))
    if own(Record.objects.filter(due_at__lte=now), person).exists():
        found.append(Due("Some of what you practised is best practised again now.", False))
    return sorted(found, key=lambda one: not one.today)


def _of_plan(plan: OwnPlan, today: date) -> Due | None:
    days = tuple(sitting.on for sitting in plan.sittings)
    behind = due_by(today, days, plan.asked) - plan.done
    if behind <= 0:
        return None
    return Due(f"{plan.title}, ready by {_on(plan.ready_on)}: {_drills(behind)} of your plan.", today in days)


def remind(people: Iterable[Person], now: datetime, *, site: str, send: Callable[[EmailMessage], object]) -> int:
    """Send what is to be sent to these people today; how many mails. Run again on a day, it sends to nobody twice.

    A mail that cannot be sent leaves no trace, so that the next run tries it again, and is raised after the others.
    """
    catch_up()
    sent, failed = 0, None
    for person in people:
        lines = due_for(person, now)
        if not lines or not (any(line.today for line in lines) or _quiet_for_a_week(person, now.date())):
            continue
        row, fresh = Reminded.objects.get_or_create(person=person, on=now.date())
        if not fresh:
            continue
        try:
            send(mail_of(person, lines, site))
            sent += 1
        except OSError as error:
            row.delete()
            failed = error
    if failed is not None:
        raise failed
    return sent


def those_who_asked() -> list[Person]:
    """The operators of real firms who want to be reminded."""
    works = lasting().filter(role=Role.OPERATOR, team__firm__invented=False).values("person")
    return list(Person.objects.filter(reminded=True, is_active=True, pk__in=works).order_by("pk"))


def _quiet_for_a_week(person: Person, today: date) -> bool:
    return not own(Reminded.objects.filter(on__gt=today - WEEK), person).exists()


def mail_of(person: Person, lines: list[Due], site: str) -> EmailMessage:
    """The mail."""
    base = site.rstrip("/")
    body = "\n".join([
        f"Hello {person.get_short_name()},", "", "this is due:",
        *(f"- {line.words}" for line in lines), "",
        f"Open it here: {base}{reverse('today')}",
        "Only parked, engine off; never while driving.", "",
        f"You asked for these mails. To stop them: {base}{reverse('settings')}", "",
    ])  # fmt: skip
    headers = {"Auto-Submitted": "auto-generated", "List-Unsubscribe": f"<{base}{reverse('settings')}>"}
    return EmailMessage(SUBJECT, body, to=[person.email], headers=headers)


def _drills(count: int) -> str:
    return f"{count} drill{'' if count == 1 else 's'}"


def _on(day: date) -> str:
    return f"{day.day} {day:%B}"


__all__ = ["SUBJECT", "Due", "due_for", "mail_of", "remind", "those_who_asked"]
