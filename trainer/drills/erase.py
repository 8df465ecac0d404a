"""Erase: remove a person with all that is held about them, and append that it was done.

What the firm chose decides what stays of the ledger: graded answers with nobody's name on them, or none of them.
Words that the person wrote about cases go in both cases.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.contrib.sessions.models import Session
from django.db import connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from trainer.drills.append_only import seal, unseal
from trainer.drills.ledger import enter
from trainer.drills.models import Answer, Attempt, CheckCase, Entry, Flag, Grade, Void
from trainer.people.access import lasting
from trainer.people.firm import keeps_evidence_of
from trainer.people.models import Firm, Invitation, Person
from trainer.people.roles import PeopleError, owners_of, wait_for


def erase(person: Person, now: datetime, *, keeps_evidence: bool | None = None) -> Entry:
    """Erase a person, which is a right. Raises PeopleError for the last owner of a firm that others work for.

    ``keeps_evidence``: whether answers stay without a name; None leaves it to the person's firm.
    """
    with transaction.atomic():
        _leave_no_firm_alone(person)
        keeps = keeps_evidence_of(person) if keeps_evidence is None else keeps_evidence
        return _erase_all([person], now, keeps)


def erase_many(people: Iterable[Person], now: datetime) -> Entry:
    """Erase people with all their answers, as one entry."""
    with transaction.atomic():
        return _erase_all(list(people), now, False)


def _erase_all(people: list[Person], now: datetime, keeps: bool) -> Entry:
    mine = Attempt.objects.filter(person__in=people)
    Flag.objects.filter(attempt__in=mine).delete()
    Flag.objects.filter(person__in=people).delete()
    if keeps:
        mine.update(person=None)
    else:
        _take_out(mine)
    Void.objects.filter(by__in=people).update(by=None)
    _forget_addresses(people)
    _end_sessions({str(person.pk) for person in people})
    for person in people:
        person.delete()
    return enter(Entry.What.ERASURE, None, now)


def _forget_addresses(people: list[Person]) -> None:
    """Take the addresses off the invitations by which people came. One that waits for an address goes: without it,
    anybody could use it."""
    addresses = [person.email for person in people]
    waiting = Invitation.objects.filter(email__in=addresses, used_at__isnull=True)
    waiting.delete()
    Invitation.objects.filter(Q(used_by__in=people) | Q(email__in=addresses)).update(email="")


def _take_out(attempts: QuerySet[Attempt]) -> None:
    """Remove attempts with all that hangs on them: the one removal there is, so the seal is off for it alone."""
    CheckCase.objects.filter(attempt__in=attempts).delete()
    _settle_references()
    unseal(connection)
    Entry.objects.filter(attempt__in=attempts).delete()
    Void.objects.filter(attempt__in=attempts).delete()
    Grade.objects.filter(answer__attempt__in=attempts).delete()
    Answer.objects.filter(attempt__in=attempts).delete()
    attempts.delete()
    _settle_references()
    seal(connection)


def _settle_references() -> None:
    """PostgreSQL changes no triggers of a table while references from it wait to be checked."""
    if connection.vendor == "postgresql":
        connection.check_constraints()


def sessions_of(ids: set[str]) -> list[Session]:
    """The open sessions of these people; what a session holds is told only by reading each of them."""
    rows = Session.objects.filter(expire_date__gt=timezone.now())
    return [row for row in rows if row.get_decoded().get("_auth_user_id") in ids]


def _end_sessions(ids: set[str]) -> None:
    Session.objects.filter(pk__in=[row.pk for row in sessions_of(ids)]).delete()


def _leave_no_firm_alone(person: Person) -> None:
    for firm in Firm.objects.filter(pk__in=lasting().filter(person=person, role="owner").values("team__firm")):
        wait_for(firm)
        others = lasting().filter(team__firm=firm).exclude(person=person)
        if owners_of(firm) == {person.pk} and others.exists():
            raise PeopleError("A firm keeps at least one owner. Make somebody else an owner first.")


__all__ = ["erase", "erase_many", "sessions_of"]
