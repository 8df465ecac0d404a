"""Flag: say that a case is wrong, in words, so that somebody who trains looks at it."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied

from trainer.drills.models import Attempt, Flag
from trainer.drills.reading import is_explained
from trainer.people.models import Person

WORDS_MIN, WORDS_MAX = 10, 1000


class FlagError(ValueError):
    """The flag cannot be taken; the message is for people."""


def flag(attempt: Attempt, *, by: Person, words: str, now: datetime) -> Flag:
    """Flag one's own graded attempt. Flagging it again gives back the first flag.

    Raises PermissionDenied for an attempt of somebody else, FlagError without a grade or with too few words.
    """
    if attempt.person_id != by.pk:
        raise PermissionDenied("Only whoever answered a case may flag it.")
    if not hasattr(attempt, "answer"):
        raise FlagError("Answer the case first; then say what is wrong with it.")
    if not is_explained(attempt):
        raise FlagError("The check goes on. Flag the case when the check is over.")
    said = words.strip()
    if len(said) < WORDS_MIN:
        raise FlagError("Say in a few words what is wrong with the case.")
    made, _ = Flag.objects.get_or_create(
        attempt=attempt, person=by, defaults={"words": said[:WORDS_MAX], "made_at": now}
    )
    return made


__all__ = ["WORDS_MAX", "WORDS_MIN", "FlagError", "flag"]
