"""Reply: whoever decides about a person answers their appeal, once."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet

from trainer.people.access import Visitor, firms_decided_by, people_decided_by
from trainer.people.models import Person
from trainer.roster.entry import REASON_MIN, EntryError, said
from trainer.roster.models import Appeal, Reply

WORDS_MAX = 1000


def appeals_to(visitor: Visitor) -> QuerySet[Appeal]:
    """The appeals that a visitor may answer: of operators about whom one decides, in a firm where one decides."""
    return Appeal.objects.filter(person__in=people_decided_by(visitor), firm__in=firms_decided_by(visitor))


def reply(appeal: Appeal, *, by: Person, words: str, now: datetime) -> Reply:
    """Answer an appeal; the first answer stands.

    Raises PermissionDenied, EntryError when somebody else was first, or for words that are no answer.
    """
    if not appeals_to(by).filter(pk=appeal.pk).exists():
        raise PermissionDenied("Only a manager or owner answers an appeal, and never the own one.")
    text = said(words, least=REASON_MIN, most=WORDS_MAX, what="an answer")
    made, fresh = Reply.objects.get_or_create(appeal=appeal, defaults={"by": by, "words": text, "made_at": now})
    if not fresh and (made.by != by or made.words != text):
        raise EntryError(f"{made.by or 'Somebody'} has answered already: “{made.words}”")
    return made


__all__ = ["WORDS_MAX", "appeals_to", "reply"]
