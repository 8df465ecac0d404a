"""Open a readiness check: one at a time for a person, and only some days after the one before."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from trainer.drills.models import Check
from trainer.people.models import Person

OPEN_DAYS = 7
"""A check that is still open after so many days ends as given up."""
REST_DAYS = 7
"""So many days from the end of one check to the next: many tries would in time pass anybody by chance. A setting."""


class TooSoon(Exception):
    """The next check may be opened from ``on`` on."""

    def __init__(self, on: datetime) -> None:
        self.on = on
        super().__init__(f"The next check may be opened on {on.day} {on:%B %Y}.")


def open_check(person: Person, rule: str, now: datetime) -> Check:
    """Open a check by the rule of that version, or give back the one that is open. Raises TooSoon."""
    with transaction.atomic():
        # One at a time for one person, so that two taps make one check.
        Person.objects.select_for_update().get(pk=person.pk)
        going_on = open_check_of(person)
        if going_on is not None:
            return going_on
        free = next_check_from(person)
        if free is not None and free > now:
            raise TooSoon(free)
        return Check.objects.create(person=person, rule=rule, opened_at=now)


def open_check_of(person: Person) -> Check | None:
    """The check that goes on for a person; None when there is none."""
    return Check.objects.filter(person=person, end__isnull=True).first()


def next_check_from(person: Person) -> datetime | None:
    """From when on the person may open the next check; None when there was none."""
    ended = Check.objects.filter(person=person, end__isnull=False).order_by("-end__ended_at")
    last = ended.values_list("end__ended_at", flat=True).first()
    return None if last is None else last + timedelta(days=REST_DAYS)


__all__ = ["OPEN_DAYS", "REST_DAYS", "TooSoon", "next_check_from", "open_check", "open_check_of"]
