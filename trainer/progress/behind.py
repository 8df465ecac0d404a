"""The graded attempts behind one skill of a person, newest first: each opens as it was graded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from trainer.drills.models import Attempt, Entry
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Evidence


@dataclass(frozen=True, slots=True)
class Behind:
    """One attempt that gave evidence on the skill."""

    attempt_id: UUID
    title: str
    at: datetime
    verdict: str
    """Of the whole grade."""
    credit: float
    """On this skill, 0..1."""
    sureness: int


def evidence_on(person: Person, skill: str) -> QuerySet[Evidence]:
    """All evidence on a skill, newest first; that of void attempts is no longer there."""
    return own(Evidence.objects.filter(skill=skill), person).order_by("-entry")


def behind(rows: Iterable[Evidence]) -> list[Behind]:
    """The attempts behind some rows of evidence, in their order."""
    found = list(rows)
    entries = Entry.objects.filter(pk__in=[row.entry for row in found])
    attempt_of = dict(entries.values_list("pk", "attempt_id"))
    attempts = Attempt.objects.select_related("answer__grade").in_bulk(list(attempt_of.values()))
    out = []
    for row in found:
        attempt = attempts[attempt_of[row.entry]]
        answer = attempt.answer
        title = attempt.public["title"]
        out.append(Behind(attempt.pk, title, row.at, answer.grade.verdict, row.credit, answer.sureness))
    return out


__all__ = ["Behind", "behind", "evidence_on"]
