"""Answer: close an attempt once, and store the grade with it.

    read --> grade (no transaction held) --> store answer + grade + entry in one transaction

The sender made ``client_key`` before it sent, so that the same answer sent again finds its grade, byte for byte.
An answer of a check has its entry only when the check ends (see check_end), so that no record moves meanwhile.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from scoring import ENGINE_VERSION
from trainer.drills.check_case import CheckOver, lock
from trainer.drills.ledger import enter, grade_json, judge
from trainer.drills.models import Answer, Attempt, CheckCase, Entry, Grade
from trainer.library.shelf import standard_at


class AlreadyAnswered(Exception):
    """Another answer closed this attempt before; ``grade`` is what it was worth."""

    def __init__(self, grade: Grade) -> None:
        self.grade = grade
        super().__init__("This attempt has been answered already; the first answer counts.")


class KeyTaken(Exception):
    """The client key belongs to an answer of another attempt."""


class Voided(Exception):
    """The attempt does not count any more and takes no answer."""


@dataclass(frozen=True, slots=True)
class Answered:
    """The stored grade, and whether the answer had been stored before."""

    grade: Grade
    repeat: bool


def answer(
    attempt: Attempt,
    *,
    client_key: uuid.UUID,
    body: dict[str, Any],
    sureness: int,
    answered_at: datetime,
    now: datetime,
) -> Answered:
    """Grade and store an answer to an attempt that its own person may see.

    Raises AnswerError (cannot be read), AlreadyAnswered, KeyTaken, Voided, CheckOver.
    """
    if (stored := _stored(attempt, client_key)) is not None:
        return stored
    if hasattr(attempt, "void"):
        raise Voided("This attempt was taken out of the record; start a new one.")
    case = CheckCase.objects.select_related("readiness_check__end").filter(attempt=attempt).first()
    if case is not None and hasattr(case.readiness_check, "end"):
        raise CheckOver("This check is over; its open case takes no answer.")
    value = judge(attempt, body, standard_at(attempt.standard_address))
    shown = grade_json(value)
    try:
        with transaction.atomic():
            if case is not None:
                lock(case.readiness_check)
            row = Answer.objects.create(
                attempt=attempt,
                client_key=client_key,
                body=body,
                sureness=sureness,
                answered_at=answered_at,
                received_at=now,
            )
            Grade.objects.create(
                answer=row,
                credit=value.credit,
                verdict=value.verdict,
                body=shown,
                engine=ENGINE_VERSION,
                standard=attempt.standard,
                made_at=now,
            )
            if case is None:
                enter(Entry.What.GRADE, attempt, now)
    except IntegrityError:
        # Somebody was faster; what they stored decides.
        if (stored := _stored(attempt, client_key)) is not None:
            return stored
        raise
    # Read back, so that the first reply and every repeat come from the same stored row.
    return Answered(Grade.objects.select_related("answer").get(answer=row), repeat=False)


def _stored(attempt: Attempt, client_key: uuid.UUID) -> Answered | None:
    """What is in the ledger for this attempt or this key; None when neither is there."""
    grade = Grade.objects.select_related("answer").filter(answer__attempt=attempt).first()
    if grade is not None:
        if grade.answer.client_key != client_key:
            raise AlreadyAnswered(grade)
        return Answered(grade, repeat=True)
    if Answer.objects.filter(client_key=client_key).exclude(attempt=attempt).exists():
        raise KeyTaken("This key was used for another attempt; make a new one for each answer.")
    return None


__all__ = ["AlreadyAnswered", "Answered", "KeyTaken", "Voided", "answer"]
