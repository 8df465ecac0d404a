"""Which roles somebody may give and take in a team, and what no change of roles may do to a firm."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from trainer.people.access import firms_owned_by, lasting, teams_decided_by
from trainer.people.apart import is_apart
from trainer.people.models import Firm, Membership, Person, Role, Team

ORDER = tuple(Role.values)


class PeopleError(ValueError):
    """The change cannot be made; the message is for people."""


def may_give(by: Person, team: Team) -> tuple[str, ...]:
    """The roles that somebody may give and take in a team: an owner all, a manager all but owner, others none."""
    if firms_owned_by(by).filter(pk=team.firm_id).exists():
        return ORDER
    if teams_decided_by(by).filter(pk=team.pk).exists():
        return tuple(role for role in ORDER if role != Role.OWNER)
    return ()


def known(roles: Iterable[str]) -> list[str]:
    """The roles in their order, each once. Raises PeopleError for one that there is not."""
    wanted = set(roles)
    if wanted - set(ORDER):
        raise PeopleError("There is no such role.")
    return [role for role in ORDER if role in wanted]


def owners_of(firm: Firm) -> set[object]:
    """Ids of the owners of a firm who may sign in."""
    rows = lasting().filter(team__firm=firm, role=Role.OWNER, person__is_active=True)
    return set(rows.values_list("person", flat=True))


def keep_an_owner(firm: Firm, before: set[object]) -> None:
    """After a change: a firm that had an owner has one still. Raises PeopleError, which takes the change back."""
    if before and not owners_of(firm):
        raise PeopleError("A firm keeps at least one owner. Make somebody else an owner first.")


def wait_for(firm: Firm) -> Firm:
    """Wait for one's turn to change who is in a firm; call it first in a transaction.

    One change at a time: two owners who leave at once must not leave a firm without one. On the embedded database
    the transaction itself is that turn.
    """
    return Firm.objects.select_for_update().get(pk=firm.pk)


def begin(person: Person, team: Team, roles: Iterable[str], *, by: Person | None, now: datetime) -> None:
    """Roles begin, those that last already excepted. Raises PeopleError for whoever has been on the demo's other side.

    The person's row is locked, so that of two firms on either side one comes first.
    """
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    wanted = list(roles)
    if wanted and is_apart(person, invented=team.firm.invented):
        raise PeopleError("This sign-in takes no new role. Invite the person by another address.")
    for role in wanted:
        Membership.objects.get_or_create(
            person=person, team=team, role=role, until=None, defaults={"since": now, "given_by": by}
        )


def end(person: Person, team: Team, roles: Iterable[str], *, by: Person, how: str, now: datetime) -> int:
    """Roles end; how many did."""
    rows = lasting().filter(person=person, team=team, role__in=list(roles))
    return rows.update(until=now, ended_by=by, ended_how=how)


def roles_in(person: Person, team: Team) -> list[str]:
    """The roles that a person holds in a team, in their order."""
    held = set(lasting().filter(person=person, team=team).values_list("role", flat=True))
    return [role for role in ORDER if role in held]


__all__ = ["ORDER", "PeopleError", "begin", "end", "keep_an_owner", "known", "may_give", "owners_of", "roles_in",
           "wait_for"]  # fmt: skip
