"""People stuck on one cause: who took one thing for another, again and again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet

from trainer.drills.named import Named, cause_words, causes_named
from trainer.people.models import Person

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


def _named(people: QuerySet[Person], now: datetime) -> list[Named]:
    return causes_named(people, now - timedelta(days=LOOK_BACK_DAYS))


def stuck_on(people: QuerySet[Person], now: datetime) -> tuple[Stuck, ...]:
    """Who is stuck, whoever took it so most often first."""
    named = _named(people, now)
    seen = Counter((one.person_id, one.right) for one in named)
    wrong = Counter((one.person_id, one.right, one.said) for one in named if one.said != one.right)
    names = dict(people.filter(pk__in={person for person, _, _ in wrong}).values_list("pk", "name"))
    found = [
        Stuck(person, names[person], Confusion(cause_words(right), cause_words(said), times, seen[person, right]))
        for (person, right, said), times in wrong.items()
        if times >= AGAIN and 2 * times >= seen[person, right]
    ]
    return tuple(sorted(found, key=lambda one: (-one.confusion.times, one.name.casefold(), one.confusion.right)))


def confusions(people: QuerySet[Person], now: datetime, most: int = 8) -> tuple[Confusion, ...]:
    """What is taken for what by all of them together, the most frequent first."""
    named = _named(people, now)
    seen = Counter(one.right for one in named)
    wrong = Counter((one.right, one.said) for one in named if one.said != one.right)
    found = [
        Confusion(cause_words(right), cause_words(said), times, seen[right]) for (right, said), times in wrong.items()
    ]
    return tuple(sorted(found, key=lambda one: (-one.times, one.right, one.said))[:most])


__all__ = ["Confusion", "Stuck", "confusions", "stuck_on"]
