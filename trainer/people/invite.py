"""Invite: leave to join a team in some roles, once, by a code that is shown once. Withdraw: take it back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.exceptions import PermissionDenied, ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import QuerySet

from trainer.people.access import Visitor, teams_decided_by
from trainer.people.codes import digest_of, make_code
from trainer.people.models import Invitation, Person, Team
from trainer.people.roles import PeopleError, known, may_give

DAYS = (1, 7, 30)
"""For how long an invitation may be open."""
OPEN_AT_MOST = 200
"""Open invitations of one team."""


@dataclass(frozen=True, slots=True)
class Invited:
    """An invitation and its code, which is nowhere else."""

    invitation: Invitation
    code: str


def invite(team: Team, *, roles: Iterable[str], by: Person, now: datetime, days: int = 7, email: str = "") -> Invited:
    """Make an invitation. Raises PermissionDenied for a team that ``by`` does not decide for, PeopleError."""
    wanted, address = known(roles), email.strip().lower()
    if not wanted:
        raise PeopleError("Choose at least one role.")
    if days not in DAYS:
        raise PeopleError("Choose for how long the invitation is open.")
    if address:
        try:
            validate_email(address)
        except ValidationError:
            raise PeopleError("That is no e-mail address.") from None
    code = make_code()
    with transaction.atomic():
        _may(team, wanted, by)
        if open_invitations(Invitation.objects.filter(team=team), now).count() >= OPEN_AT_MOST:
            raise PeopleError(f"{OPEN_AT_MOST} invitations of this team are open. Withdraw some first.")
        made = Invitation.objects.create(
            team=team,
            roles=wanted,
            email=address,
            code_digest=digest_of(code),
            made_by=by,
            made_at=now,
            expires_at=now + timedelta(days=days),
        )
    return Invited(made, code)


def withdraw(invitation: Invitation, *, by: Person, now: datetime) -> None:
    """Take an invitation back; one that was used or taken back before stays as it is. Raises PermissionDenied."""
    if not teams_decided_by(by).filter(pk=invitation.team_id).exists():
        raise PermissionDenied("Only whoever decides for the team takes its invitations back.")
    _unspent(Invitation.objects.filter(pk=invitation.pk)).update(withdrawn_at=now)


def open_invitations(rows: QuerySet[Invitation], now: datetime) -> QuerySet[Invitation]:
    """Those that can still be used."""
    return _unspent(rows).filter(expires_at__gt=now, team__firm__closed_at=None)


def invitations_for(visitor: Visitor, now: datetime) -> QuerySet[Invitation]:
    """The open invitations of the teams that a visitor decides for."""
    rows = Invitation.objects.filter(team__in=teams_decided_by(visitor)).select_related("team", "made_by")
    return open_invitations(rows, now)


def opens(invitation: Invitation) -> bool:
    """Whether whoever made it could make it today: what a manager who left gave out opens nothing."""
    by = invitation.made_by
    return by is not None and by.is_active and not set(invitation.roles) - set(may_give(by, invitation.team))


def _unspent(rows: QuerySet[Invitation]) -> QuerySet[Invitation]:
    return rows.filter(used_at=None, withdrawn_at=None)


def _may(team: Team, roles: list[str], by: Person) -> None:
    given = may_give(by, team)
    if not given:
        raise PermissionDenied("Only whoever decides for the team invites to it.")
    if set(roles) - set(given):
        raise PeopleError("Only an owner makes an owner.")


__all__ = ["DAYS", "Invited", "invitations_for", "invite", "open_invitations", "opens", "withdraw"]
