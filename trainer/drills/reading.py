"""Reading attempts: one's own at any time, those of people one follows once they are graded."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from trainer.drills.models import Attempt, Flag
from trainer.people.access import Visitor, people_followed_by, people_trained_by
from trainer.people.models import Person


def read_by(visitor: Visitor) -> QuerySet[Attempt]:
    """The attempts that a visitor may open. Those of others not before the grade, nor while their check goes on."""
    rows = Attempt.objects.select_related("answer__grade", "void")
    if not isinstance(visitor, Person):
        return rows.none()
    in_open_check = Q(check_case__isnull=False, check_case__readiness_check__end__isnull=True)
    others = Q(person__in=people_followed_by(visitor), answer__isnull=False) & ~in_open_check
    return rows.filter(Q(person=visitor) | others)


def flags_for(visitor: Visitor) -> QuerySet[Flag]:
    """The flags that a visitor may settle: those of the operators one trains, never one's own."""
    return Flag.objects.filter(person__in=people_trained_by(visitor)).select_related("attempt", "person", "reply")


__all__ = ["flags_for", "read_by"]
