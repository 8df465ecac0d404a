"""Deactivate: end all roles of somebody in a firm, and every session. Reactivate: the same roles begin again.

Whoever works for no other firm then may not sign in. Whether there is another firm shows nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Exists, F, Max, OuterRef, QuerySet

from trainer.people.access import firms_owned_by, lasting
from trainer.people.models import Firm, Membership, Person
from trainer.people.roles import PeopleError, begin, keep_an_owner, owners_of, wait_for


@dataclass(frozen=True, slots=True)
class Deactivated:
    """Somebody whose roles in a firm were ended by deactivation, and when."""

    person: Person
    at: datetime


def deactivate(person: Person, firm: Firm, *, by: Person, now: datetime) -> None:
    """End all roles of a person in a firm that ``by`` owns, and every session.

    Raises PermissionDenied, PeopleError for oneself and for the last owner.
    """
    with transaction.atomic():
        firm = _turn(firm, by)
        if person == by:
            raise PeopleError("Nobody deactivates oneself. Leave the team, or ask another owner.")
        owners = owners_of(firm)
        rows = lasting().filter(person=person, team__firm=firm)
        if not rows.update(until=now, ended_by=by, ended_how=Membership.End.DEACTIVATED):
            raise PermissionDenied("Nobody of that id works for this firm.")
        keep_an_owner(firm, owners)
        end_sessions(person)
        if not lasting().filter(person=person).exists():
            Person.objects.filter(pk=person.pk).update(is_active=False)


def reactivate(person: Person, firm: Firm, *, by: Person, now: datetime) -> None:
    """Begin again the roles that a deactivation ended. Raises PermissionDenied, PeopleError."""
    with transaction.atomic():
        firm = _turn(firm, by)
        ended = _deactivated(firm).filter(person=person)
        newest = ended.aggregate(at=Max("until"))["at"]
        if newest is None:
            raise PermissionDenied("Nobody of that id was deactivated here.")
        for row in ended.filter(until=newest).select_related("team"):
            begin(person, row.team, [row.role], by=by, now=now)
        Person.objects.filter(pk=person.pk).update(is_active=True)


def deactivated_in(firm: Firm) -> list[Deactivated]:
    """Those whom a firm deactivated and did not take back, newest first."""
    at: dict[UUID, datetime] = dict(_deactivated(firm).values_list("person").annotate(at=Max("until")))
    people = Person.objects.in_bulk(at)
    return [Deactivated(people[key], at[key]) for key in sorted(at, key=lambda one: at[one], reverse=True)]


def end_sessions(person: Person) -> None:
    """End every session of a person, on whatever device."""
    Person.objects.filter(pk=person.pk).update(sessions=F("sessions") + 1)


def _deactivated(firm: Firm) -> QuerySet[Membership]:
    """The roles of those whose time in the firm ended by deactivation, and by nothing later."""
    here = lasting().filter(team__firm=firm).values("person")
    later = Membership.objects.filter(team__firm=firm, person=OuterRef("person"), until__gt=OuterRef("until"))
    ended = Membership.objects.filter(team__firm=firm, ended_how=Membership.End.DEACTIVATED)
    return ended.exclude(person__in=here).filter(~Exists(later))


def _turn(firm: Firm, by: Person) -> Firm:
    firm = wait_for(firm)
    if not firms_owned_by(by).filter(pk=firm.pk).exists():
        raise PermissionDenied("Only an owner of the firm does this.")
    return firm


__all__ = ["Deactivated", "deactivate", "deactivated_in", "end_sessions", "reactivate"]
