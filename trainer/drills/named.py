"""Cases in which a cause was named: the right one, and the one that was said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from scoring.kinds.causes import CAUSES, choice_of
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.people.models import Person

ASKED = ("cause", "pair", "change")
"""Kinds in which a cause is named."""


@dataclass(frozen=True, slots=True)
class Named:
    """One such case: both causes by their codes."""

    person_id: UUID
    right: str
    said: str


def causes_named(people: QuerySet[Person], since: datetime) -> list[Named]:
    """Every explained case of these people, answered since a moment, in which a cause was named."""
    rows = explained(Attempt.objects.filter(person__in=people, kind__in=ASKED, void__isnull=True))
    rows = rows.filter(answer__received_at__gte=since)
    return [
        Named(person, choice_of(code), said)
        for person, code, said in rows.values_list("person_id", "key__known__code", "answer__body__cause")
        if isinstance(code, str) and isinstance(said, str)
    ]


def cause_words(code: str) -> str:
    """A cause in words; its code where it is not known any more."""
    return CAUSES[code].title if code in CAUSES else code


__all__ = ["Named", "cause_words", "causes_named"]
