"""What every entry has in common: it is stored once under the key that its form was made with, in its words."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, TypeVar

from django.db.models import Model, QuerySet

from trainer.people.models import Person

REASON_MIN = 10
"""A reason of fewer letters than this is none."""

Row = TypeVar("Row", bound=Model)


class EntryError(ValueError):
    """The entry cannot be taken; the message is for people."""


class KeyTaken(Exception):
    """The key belongs to an entry about somebody else, or by somebody else."""


def once(rows: QuerySet[Row], key: Mapping[str, Any], who: Mapping[str, Any], rest: Mapping[str, Any]) -> Row:
    """Store an entry, or give back the one that is stored under the key: sending again changes nothing.

    ``who`` are the fields that must be the same when it was stored before. Raises KeyTaken.
    """
    row, fresh = rows.get_or_create(**key, defaults={**who, **rest})
    return row if fresh else _same(row, who)


def again(rows: QuerySet[Row], key: uuid.UUID, who: Mapping[str, Any]) -> Row | None:
    """The entry that is stored under the key, None when there is none; for entries that depend on the one before.

    Raises KeyTaken.
    """
    row = rows.filter(pk=key).first()
    return None if row is None else _same(row, who)


def _same(row: Row, who: Mapping[str, Any]) -> Row:
    if any(getattr(row, name) != value for name, value in who.items()):
        raise KeyTaken("This key was used for another entry; open the form again.")
    return row


def in_turn(person: Person) -> None:
    """Wait for one's turn to enter something about this person; to be called inside a transaction."""
    Person.objects.select_for_update().get(pk=person.pk)


def later_than(last: datetime | None, now: datetime) -> datetime:
    """The moment of an entry that follows another: by the clock, but never before it, so that the newest is certain."""
    return now if last is None else max(now, last + timedelta(microseconds=1))


def said(words: str, *, least: int = 0, most: int, what: str = "a reason") -> str:
    """Words without the blanks round them. Raises EntryError when there are too few or too many."""
    text = words.strip()
    if len(text) < least:
        raise EntryError(f"Give {what} of at least {least} letters; it is kept and shown.")
    if len(text) > most:
        raise EntryError(f"That is {len(text)} letters; at most {most} are kept.")
    return text


def key_of(text: str | None) -> uuid.UUID:
    """The key that a form brought; a new one where it brought none that can be read."""
    try:
        return uuid.UUID(text or "")
    except ValueError:
        return uuid.uuid4()


__all__ = ["REASON_MIN", "EntryError", "KeyTaken", "again", "in_turn", "key_of", "later_than", "once", "said"]
