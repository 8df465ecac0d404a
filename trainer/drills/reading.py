"""Reading attempts: one's own at any time, those of people one follows once they are graded.

What belongs to a check that goes on is answered and graded, but not explained: nothing of its grade is read by anybody.
Many people get the same case (one variation, one fingerprint), and a grade explains it. So who leads and practises too
reads nobody's grade of a case while their own waits, and is not given a case (see issue) that they could read before.
"""

from __future__ import annotations

from uuid import UUID

from django.db.models import Q, QuerySet

from trainer.drills.models import Attempt, CheckCase, Flag, Void
from trainer.people.access import Visitor, firms_led_by, followed, own, people_followed_by, people_trained_by
from trainer.people.models import Membership, Person


def read_by(visitor: Visitor) -> QuerySet[Attempt]:
    """The attempts that a visitor may open. Those of others not before they are explained."""
    rows = Attempt.objects.select_related("answer__grade", "void")
    if not isinstance(visitor, Person):
        return rows.none()
    others = Q(person__in=people_followed_by(visitor), answer__isnull=False) & ~Q(pk__in=_in_open_checks())
    return rows.filter(Q(person=visitor) | others & ~Q(fingerprint__in=_own_unexplained(visitor)))


def own_open_alike(visitor: Visitor, attempt_id: UUID) -> Attempt | None:
    """The visitor's own attempt for whose sake one that they follow is not read yet; None where there is none."""
    theirs = explained(followed(Attempt.objects.filter(pk=attempt_id), visitor)).values("fingerprint")
    mine = own(Attempt.objects.filter(fingerprint__in=_own_unexplained(visitor)), visitor)
    return mine.filter(fingerprint__in=theirs).order_by("-issued_at").first()


def read_before(person: Person, recipe: str) -> set[str]:
    """Fingerprints of the cases of a recipe that a person had, or that others had whose grades the person may read."""
    rows = Attempt.objects.filter(recipe=recipe)
    mine = own(rows, person).order_by().values_list("fingerprint", flat=True)
    theirs = explained(followed(rows, person)).order_by().values_list("fingerprint", flat=True)
    return set(mine) | set(theirs.distinct())


def _own_unexplained(visitor: Visitor) -> QuerySet[Attempt, str]:
    """Fingerprints of the visitor's own cases that wait for an answer, or whose check goes on."""
    waiting = unanswered(visitor) | own(Attempt.objects.filter(pk__in=_in_open_checks()), visitor)
    return waiting.values_list("fingerprint", flat=True)


def explained(attempts: QuerySet[Attempt]) -> QuerySet[Attempt]:
    """Those of the attempts whose grade may be shown: graded, and not in a check that goes on."""
    return attempts.filter(answer__isnull=False).exclude(pk__in=_in_open_checks())


def _in_open_checks() -> QuerySet[CheckCase, UUID]:
    return CheckCase.objects.filter(readiness_check__end__isnull=True).values_list("attempt", flat=True)


def is_explained(attempt: Attempt) -> bool:
    """Whether the grade of this attempt may be shown."""
    if not hasattr(attempt, "answer"):
        return False
    return attempt.mode != Attempt.Mode.CHECK or explained(Attempt.objects.filter(pk=attempt.pk)).exists()


def unanswered(visitor: Visitor) -> QuerySet[Attempt]:
    """The visitor's own attempts that wait for an answer; those of a check that is over wait for none."""
    mine = own(Attempt.objects.filter(answer__isnull=True, void__isnull=True), visitor)
    over = CheckCase.objects.filter(readiness_check__end__isnull=False)
    return mine.exclude(pk__in=over.values("attempt"))


def flags_for(visitor: Visitor) -> QuerySet[Flag]:
    """The flags that a visitor may settle: those of the operators one trains, never one's own.

    One that another firm settled is gone: what was said there is told here to nobody.
    """
    here = Q(reply__isnull=True) | Q(reply__firm__isnull=True) | Q(reply__firm__in=firms_led_by(visitor))
    rows = Flag.objects.filter(here, person__in=people_trained_by(visitor))
    rows = rows.exclude(attempt__fingerprint__in=_own_unexplained(visitor))
    return rows.select_related("attempt", "person", "reply")


def reason_for(attempt: Attempt, visitor: Visitor) -> str:
    """Why an attempt was taken out, for who may know it: its person, and those who lead where its voider works or did.

    Empty where it was not taken out, and for another firm.
    """
    void: Void | None = getattr(attempt, "void", None)
    if void is None or not isinstance(visitor, Person):
        return ""
    of_theirs = Membership.objects.filter(person=void.by_id, team__firm__in=firms_led_by(visitor))
    return void.reason if attempt.person_id == visitor.pk or of_theirs.exists() else ""


__all__ = [
    "explained", "flags_for", "is_explained", "own_open_alike", "read_before", "read_by", "reason_for", "unanswered",
]  # fmt: skip
