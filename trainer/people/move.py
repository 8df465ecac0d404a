"""Move: somebody goes on in another team of the firm, in the same roles. The record goes along: it is the person's."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from trainer.people.models import Membership, Person, Team
from trainer.people.roles import PeopleError, begin, end, may_give, owners_of, roles_in, wait_for
from trainer.people.set_roles import may_change


def move(person: Person, source: Team, target: Team, *, by: Person, now: datetime) -> None:
    """End the roles in one team and begin the same in another of the firm.

    Raises PermissionDenied unless ``by`` decides for both; PeopleError for somebody who is not there, or an owner
    whom only an owner moves, or somebody who has been on the demo's other side.
    """
    with transaction.atomic():
        firm = wait_for(source.firm)
        given, there = may_give(by, source), may_give(by, target)
        if source.firm_id != target.firm_id or not given or not there:
            raise PermissionDenied("Only whoever decides for both teams moves people between them.")
        if source == target:
            raise PeopleError("Choose another team.")
        held = set(roles_in(person, source))
        if not held:
            raise PeopleError("This person is not in that team any more.")
        may_change(person, by, set(roles_in(person, target)), held, set(there), owners_of(firm))
        begin(person, target, held, by=by, now=now)
        end(person, source, held, by=by, how=Membership.End.MOVED, now=now)


__all__ = ["move"]
