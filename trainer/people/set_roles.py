"""Set the roles of somebody in a team: new ones begin, others end; none at all takes the person out of the team."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from trainer.people.access import lasting, teams_decided_by
from trainer.people.models import Membership, Person, Role, Team
from trainer.people.roles import (
    PeopleError,
    begin,
    end,
    keep_an_owner,
    known,
    may_give,
    owners_of,
    roles_in,
    wait_for,
)


def set_roles(person: Person, team: Team, roles: Iterable[str], *, by: Person, now: datetime) -> None:
    """Make these the roles of a person in a team.

    Raises PermissionDenied for a team that ``by`` does not decide for, or somebody in none of their teams; PeopleError
    when the roles are not theirs to give or take, when one would give oneself more, for the last owner, and for a new
    role of somebody who has been on the demo's other side.
    """
    wanted = set(known(roles))
    with transaction.atomic():
        firm = wait_for(team.firm)
        given = set(may_give(by, team))
        theirs = lasting().filter(person=person, team__in=teams_decided_by(by).filter(firm=firm))
        if not given or not theirs.exists():
            raise PermissionDenied("Only whoever decides for the team changes its roles.")
        held, owners = set(roles_in(person, team)), owners_of(firm)
        may_change(person, by, held, wanted, given, owners)
        begin(person, team, wanted - held, by=by, now=now)
        end(person, team, held - wanted, by=by, how=Membership.End.TAKEN, now=now)
        keep_an_owner(firm, owners)


def may_change(
    person: Person, by: Person, held: set[str], wanted: set[str], given: set[str], owners: set[object]
) -> None:
    """Whether ``by``, who may give ``given``, may turn ``held`` into ``wanted``. Raises PeopleError."""
    if Role.OWNER not in given and (person.pk in owners or Role.OWNER in wanted):
        raise PeopleError("Only an owner makes an owner, or changes one.")
    if person == by and Role.OWNER not in given and wanted - held:
        raise PeopleError("Nobody gives a role to oneself. Ask another manager or an owner.")


__all__ = ["may_change", "set_roles"]
