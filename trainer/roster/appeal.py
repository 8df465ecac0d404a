"""Appeal: a person asks to have the own state looked at again, in words; it waits for a reply."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import get_args

from django.db import transaction

from scoring.mastery.readiness import State
from trainer.people.access import lasting
from trainer.people.models import Person, Role
from trainer.roster.decide import in_force
from trainer.roster.entry import REASON_MIN, EntryError, again, in_turn, later_than, said
from trainer.roster.models import Appeal

WORDS_MAX = 1000
STATES: tuple[str, ...] = get_args(State)


def waiting_appeal(person: Person) -> Appeal | None:
    """The appeal of this person that nobody has answered."""
    return Appeal.objects.filter(person=person, reply__isnull=True).order_by("-made_at", "-pk").first()


def appeal(person: Person, *, key: uuid.UUID, state: str, words: str, now: datetime) -> Appeal:
    """Enter one's appeal against the state that was shown; sent again with the same key, it gives the same again.

    It goes to the firm whose decision stands; where none does, to the one whose rule the person goes by.
    Raises EntryError: while another one waits, for somebody who works in no team, for words that are no reason.
    """
    if state not in STATES:
        raise EntryError("Open your record again: the state that was shown cannot be read.")
    if not lasting().filter(person=person, role=Role.OPERATOR).exists():
        raise EntryError("You work as an operator in no team at present, so nobody decides about you.")
    text = said(words, least=REASON_MIN, most=WORDS_MAX, what="your reason in words,")
    with transaction.atomic():
        in_turn(person)
        if stored := again(Appeal.objects.all(), key, {"person": person}):
            return stored
        if waiting := waiting_appeal(person):
            raise EntryError(f"Your appeal of {waiting.made_at:%-d %B %Y} waits for a reply already.")
        last = Appeal.objects.filter(person=person).order_by("-made_at").values_list("made_at", flat=True).first()
        standing = in_force(person, person, now.date())
        return Appeal.objects.create(
            id=key, person=person, firm_id=standing.firm_id if standing is not None else None, state=state, words=text,
            made_at=later_than(last, now),
        )  # fmt: skip


__all__ = ["STATES", "WORDS_MAX", "appeal", "waiting_appeal"]
