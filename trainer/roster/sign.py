"""Sign: a trainer enters a shoot that was watched, skill by skill, and says whether the person can be sent alone."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied

from trainer.library.skills import skill_map, skill_name
from trainer.people.access import people_trained_by
from trainer.people.models import Person
from trainer.roster.entry import EntryError, once, said
from trainer.roster.models import ObservedShoot

WORDS_MAX = 2000
OLDEST_DAYS = 365
"""Older shoots say nothing about today."""
AHEAD_DAYS = 1
"""A phone's day may be ahead of the server's."""

Seen = ObservedShoot.Seen


def starred() -> tuple[str, ...]:
    """Codes of the skills that a shoot is watched for, in the order of the map."""
    return tuple(code for code, skill in skill_map().items() if skill["star"])


def sign(
    person: Person,
    *,
    by: Person,
    key: uuid.UUID,
    shot_on: date,
    seen: Mapping[str, str],
    signed: bool,
    words: str,
    now: datetime,
) -> ObservedShoot:
    """Enter a watched shoot; sent again with the same key, it gives the same entry again.

    Raises PermissionDenied, EntryError with the reason, KeyTaken.
    """
    if not people_trained_by(by).filter(pk=person.pk).exists():
        raise PermissionDenied("Only a trainer of the operator's team enters a watched shoot.")
    _check(shot_on, seen, signed, now.date())
    return once(
        ObservedShoot.objects.all(),
        {"client_key": key},
        {"person": person, "by": by},
        {
            "shot_on": shot_on,
            "seen": {code: seen[code] for code in starred()},
            "signed": signed,
            "words": said(words, most=WORDS_MAX),
            "made_at": now,
        },
    )


def _check(shot_on: date, seen: Mapping[str, str], signed: bool, today: date) -> None:
    if shot_on > today + timedelta(days=AHEAD_DAYS):
        raise EntryError("The day of the shoot is still to come.")
    if shot_on < today - timedelta(days=OLDEST_DAYS):
        raise EntryError(f"The shoot is more than {OLDEST_DAYS} days ago; it says nothing about today.")
    if strange := sorted(set(seen) - set(starred())):
        raise EntryError(f"There is no starred skill {strange[0]!r}.")
    if missing := [skill_name(code) for code in starred() if seen.get(code) not in Seen.values]:
        raise EntryError(f"Say for each skill what you saw. Missing: {', '.join(missing)}.")
    if not signed:
        return
    if not_done := [skill_name(code) for code in starred() if seen[code] == Seen.NOT_DONE]:
        raise EntryError(f"It cannot be signed: not done was {', '.join(not_done)}. Enter it without signing.")
    if Seen.DONE not in seen.values():
        raise EntryError("It cannot be signed: nothing was seen done.")


__all__ = ["AHEAD_DAYS", "OLDEST_DAYS", "WORDS_MAX", "sign", "starred"]
