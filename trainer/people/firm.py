"""A firm's own affairs: found it, make and name its teams, and say what is kept of people who are erased."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction

from trainer.people.access import firms_owned_by, lasting
from trainer.people.apart import kept_apart
from trainer.people.codes import digest_of, make_code
from trainer.people.join import CANNOT_BE_USED
from trainer.people.models import Firm, Founding, Membership, Person, Role, Team
from trainer.people.names import plain_name
from trainer.people.roles import PeopleError, begin, wait_for

NAME_MAX, REGION_MAX = 120, 80
FOUNDING_DAYS = 2


def let_found(now: datetime) -> str:
    """A code by which one new firm may be entered within two days."""
    code = make_code()
    Founding.objects.create(code_digest=digest_of(code), made_at=now, expires_at=now + timedelta(days=FOUNDING_DAYS))
    return code


def may_found(code: str, now: datetime) -> bool:
    """Whether the code still opens a new firm."""
    return Founding.objects.filter(code_digest=digest_of(code), used_at=None, expires_at__gt=now).exists()


def found(code: str, owner: Person, *, firm: str, team: str, region: str, now: datetime) -> Firm:
    """Enter a new firm with its first team and owner; the code is used up. Raises PeopleError.

    ``owner`` is saved here when it is new, so that a code opens nothing without its firm.
    """
    named = _named(firm, "the firm")
    with transaction.atomic():
        if not Founding.objects.filter(code_digest=digest_of(code), used_at=None, expires_at__gt=now).update(
            used_at=now
        ):
            raise PeopleError("This code opens nothing any more. Ask for a new one where the site runs.")
        if owner._state.adding:
            if Person.objects.filter(email=owner.email).exists():
                raise PeopleError(CANNOT_BE_USED)
            owner.save()
        elif words := kept_apart(owner, invented=False):
            raise PeopleError(words)
        made = Firm.objects.create(name=named, made_at=now)
        Founding.objects.filter(code_digest=digest_of(code)).update(firm=made)
        first = Team.objects.create(firm=made, name=_named(team, "the team"), region=_region(region), made_at=now)
        begin(owner, first, [Role.OWNER], by=None, now=now)
    return made


def make_team(firm: Firm, *, name: str, region: str, by: Person, now: datetime) -> Team:
    """Make a team. Raises PermissionDenied, PeopleError."""
    with transaction.atomic():
        firm = _owned(firm, by)
        return Team.objects.create(firm=firm, name=_free(firm, name), region=_region(region), made_at=now)


def name_team(team: Team, *, name: str, region: str, by: Person) -> None:
    """Name a team and its region. Raises PermissionDenied, PeopleError."""
    with transaction.atomic():
        firm = _owned(team.firm, by)
        team.name, team.region = _free(firm, name, team), _region(region)
        team.save(update_fields=["name", "region"])


def set_firm(firm: Firm, *, name: str, keeps_evidence: bool, by: Person) -> None:
    """Name the firm, and say whether answers of erased people are kept without their name. Raises PermissionDenied."""
    with transaction.atomic():
        firm = _owned(firm, by)
        firm.name, firm.keeps_evidence = _named(name, "the firm"), keeps_evidence
        firm.save(update_fields=["name", "keeps_evidence"])


def keeps_evidence_of(person: Person) -> bool:
    """Whether answers stay when this person is erased: only where every firm they work for, or last did, keeps them."""
    rows = Membership.objects.filter(person=person)
    if lasting().filter(person=person).exists():
        rows = rows.filter(until=None)
    return not rows.filter(team__firm__keeps_evidence=False).exists()


def _owned(firm: Firm, by: Person) -> Firm:
    if not firms_owned_by(by).filter(pk=firm.pk).exists():
        raise PermissionDenied("Only an owner of the firm does this.")
    return wait_for(firm)


def _free(firm: Firm, name: str, but: Team | None = None) -> str:
    named = _named(name, "the team")
    taken = firm.teams.filter(name=named)
    if (taken.exclude(pk=but.pk) if but else taken).exists():
        raise PeopleError("The firm has a team of that name already.")
    return named


def _named(name: str, what: str) -> str:
    named = plain_name(name)
    if not named:
        raise PeopleError(f"Give {what} a name.")
    if len(named) > NAME_MAX:
        raise PeopleError(f"A name has at most {NAME_MAX} letters.")
    return named


def _region(region: str) -> str:
    named = plain_name(region)
    if len(named) > REGION_MAX:
        raise PeopleError(f"A region has at most {REGION_MAX} letters.")
    return named


__all__ = ["FOUNDING_DAYS", "found", "keeps_evidence_of", "let_found", "make_team", "may_found", "name_team",
           "set_firm"]  # fmt: skip
