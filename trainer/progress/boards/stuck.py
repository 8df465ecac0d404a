"""People stuck on one cause: who took one thing for another, again and again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from scoring.kinds.causes import CAUSES, choice_of
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.people.models import Person

ASKED = ("cause", "pair", "change")
"""Kinds in which a cause is named."""
LOOK_BACK_DAYS = 180
AGAIN = 3
"""So many times at least, and in at least half of the cases of that cause."""


@dataclass(frozen=True, slots=True)
class Confusion:
    """One cause taken for another."""

    right: str
    """In words."""
    said: str
    times: int
    of: int
    """Cases of the right cause."""


@dataclass(frozen=True, slots=True)
class Stuck:
    """One person and the confusion."""

    person_id: UUID
    name: str
    confusion: Confusion


def _named(people: QuerySet[Person], now: datetime) -> list[tuple[Any, str, str]]:
    """(person, right cause, cause said) of every case of the last half year in which a cause was named."""
    rows = explained(Attempt.objects.filter(person__in=people, kind__in=ASKED, void__isnull=True))
    rows = rows.filter(answer__received_at__gte=now - timedelta(days=LOOK_BACK_DAYS))
    out = []
    for person, code, said in rows.values_list("person_id", "key__known__code", "answer__body__cause"):
        if isinstance(code, str) and isinstance(said, str):
            out.append((person, choice_of(code), said))
    return out


def stuck_on(people: QuerySet[Person], now: datetime) -> tuple[Stuck, ...]:
    """Who is stuck, whoever took it so most often first."""
    named = _named(people, now)
    seen = Counter((person, right) for person, right, _ in named)
    wrong = Counter((person, right, said) for person, right, said in named if said != right)
    names = dict(people.filter(pk__in={person for person, _, _ in wrong}).values_list("pk", "name"))
    found = [
        Stuck(person, names[person], Confusion(_words(right), _words(said), times, seen[person, right]))
        for (person, right, said), times in wrong.items()
        if times >= AGAIN and 2 * times >= seen[person, right]
    ]
    return tuple(sorted(found, key=lambda one: (-one.confusion.times, one.name.casefold(), one.confusion.right)))


def confusions(people: QuerySet[Person], now: datetime, most: int = 8) -> tuple[Confusion, ...]:
    """What is taken for what by all of them together, the most frequent first."""
    named = _named(people, now)
    seen = Counter(right for _, right, _ in named)
    wrong = Counter((right, said) for _, right, said in named if said != right)
    found = [Confusion(_words(right), _words(said), times, seen[right]) for (right, said), times in wrong.items()]
    return tuple(sorted(found, key=lambda one: (-one.times, one.right, one.said))[:most])


def _words(code: str) -> str:
    return CAUSES[code].title if code in CAUSES else code


__all__ = ["Confusion", "Stuck", "confusions", "stuck_on"]
