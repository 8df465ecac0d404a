"""Assign: somebody who leads gives a drill, or a round of several drills, to one person or to several."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet

from trainer.library.shelf import recipes as on_the_shelf
from trainer.people.access import Visitor, entered_for, of_present_firms, people_led_by
from trainer.people.models import Person
from trainer.roster.entry import EntryError, once, said
from trainer.roster.models import Assignment, Remark

COUNT_MAX = 20
WORDS_MAX = 300
PEOPLE_MAX = 200
AHEAD_DAYS_MAX = 365


def open_assignments(person: Person) -> QuerySet[Assignment]:
    """What the firms that a person works for gave and did not withdraw, oldest first; what is done, the ledger says."""
    given = of_present_firms(Assignment.objects.filter(person=person, withdrawal__isnull=True))
    return given.select_related("by").order_by("made_at", "recipe", "pk")


def remarks_on(attempt_id: uuid.UUID, visitor: Visitor) -> QuerySet[Remark]:
    """What was said about an attempt, as far as the visitor may see it, oldest first."""
    rows = entered_for(Remark.objects.filter(attempt=attempt_id), visitor)
    return rows.select_related("by").order_by("made_at", "pk")


def assign(
    people: Collection[Person],
    *,
    by: Person,
    key: uuid.UUID,
    recipes: Sequence[str],
    count: int,
    words: str,
    due_on: date | None,
    now: datetime,
) -> list[Assignment]:
    """Give each of the drills ``count`` times to each of the people; sent again with the key, nothing is given twice.

    Raises PermissionDenied when one of the people is not led by ``by``, EntryError with the reason, KeyTaken.
    """
    wanted = {person.pk for person in people}
    if people_led_by(by).filter(pk__in=wanted).count() != len(wanted):
        raise PermissionDenied("Drills are given by who leads the operator's team.")
    note = _check(len(wanted), recipes, count, words, due_on, now.date())
    rest = {"count": count, "words": note, "due_on": due_on, "made_at": now}
    with transaction.atomic():
        return [
            once(
                Assignment.objects.all(),
                {"id": uuid.uuid5(key, f"{person} {recipe}")},
                {"person_id": person, "by": by, "recipe": recipe},
                rest,
            )
            for person in sorted(wanted, key=str)
            for recipe in recipes
        ]


def _check(people: int, recipes: Sequence[str], count: int, words: str, due_on: date | None, today: date) -> str:
    if not 1 <= people <= PEOPLE_MAX:
        raise EntryError("Choose who it is for." if people == 0 else f"At most {PEOPLE_MAX} people at a time.")
    if not recipes or not set(recipes) <= {recipe.name for recipe in on_the_shelf()}:
        raise EntryError("Choose a drill or a round of the list.")
    if not 1 <= count <= COUNT_MAX:
        raise EntryError(f"Give from 1 to {COUNT_MAX} cases of a drill.")
    if due_on is not None and not today <= due_on <= today + timedelta(days=AHEAD_DAYS_MAX):
        raise EntryError("Give a day from today to a year ahead, or none.")
    return said(words, most=WORDS_MAX)


__all__ = ["AHEAD_DAYS_MAX", "COUNT_MAX", "PEOPLE_MAX", "WORDS_MAX", "assign", "open_assignments", "remarks_on"]
