"""Remark: somebody who leads says something about an answered attempt, to whoever made it."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.people.access import people_led_by
from trainer.people.models import Person
from trainer.roster.entry import EntryError, once, said
from trainer.roster.models import Remark

WORDS_MAX = 1000


def remark(person: Person, attempt: uuid.UUID, *, by: Person, key: uuid.UUID, words: str, now: datetime) -> Remark:
    """Enter words on an attempt of a person; sent again with the same key, it gives the same entry again.

    Raises PermissionDenied unless ``by`` leads the person's team and the attempt is theirs, EntryError, KeyTaken.
    """
    if not people_led_by(by).filter(pk=person.pk, attempts=attempt).exists():
        raise PermissionDenied("Remarks are made by who leads the operator's team.")
    text = said(words, most=WORDS_MAX)
    if not text:
        raise EntryError("Write a few words first.")
    return once(
        Remark.objects.all(),
        {"id": key},
        {"person": person, "by": by, "attempt": attempt},
        {"words": text, "made_at": now},
    )


__all__ = ["WORDS_MAX", "remark"]
