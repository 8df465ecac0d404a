"""What others entered about a person of late, by kind and without a word of it: a phone may keep the first page."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from trainer.people.models import Person
from trainer.roster.models import Decision, KitChange, ObservedShoot, Remark, Reply

DAYS = 14
"""So long an entry counts as new."""


def news_of(person: Person, now: datetime) -> tuple[str, ...]:
    """What is new on the record, as parts of a sentence: ("a decision", "2 remarks on your cases")."""
    since = now - timedelta(days=DAYS)
    kinds: tuple[tuple[QuerySet[Any], str, str], ...] = (
        (Decision.objects.filter(person=person), "a decision", "decisions"),
        (Reply.objects.filter(appeal__person=person), "an answer to your appeal", "answers to your appeals"),
        (ObservedShoot.objects.filter(person=person, struck__isnull=True), "an observed shoot", "observed shoots"),
        (KitChange.objects.filter(person=person), "a kit for you", "changes of your kit"),
        (Remark.objects.filter(person=person), "a remark on a case", "remarks on your cases"),
    )
    counted = ((rows.filter(made_at__gte=since).count(), one, many) for rows, one, many in kinds)
    return tuple(one if count == 1 else f"{count} {many}" for count, one, many in counted if count)


__all__ = ["DAYS", "news_of"]
