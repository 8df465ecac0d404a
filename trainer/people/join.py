"""Join: come into a team by an invitation's code, as somebody new or as who is signed in. A code is used once."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import Q

from trainer.people.apart import kept_apart
from trainer.people.codes import digest_of
from trainer.people.invite import open_invitations, opens
from trainer.people.models import Invitation, Person
from trainer.people.names import plain_name
from trainer.people.roles import PeopleError, begin, wait_for

NAME_MAX = 80
CANNOT_BE_USED = "This address cannot be used. If it signs in here already, sign in first."
"""Says as little as can be said of who signs in here; how often it is asked is counted in ``newcomers``."""


class NoSuchInvitation(LookupError):
    """No open invitation has this code: it never had one, was used, was taken back, or is too old."""


class NotTaken(PeopleError):
    """What a newcomer entered cannot be taken: {field: words}."""

    def __init__(self, fields: dict[str, list[str]]) -> None:
        self.fields = fields
        super().__init__(" ".join(words for said in fields.values() for words in said))


def invitation_of(code: str, now: datetime, person: Person | None = None) -> Invitation:
    """The open invitation with this code, for this person. Raises NoSuchInvitation, whatever the reason."""
    rows = open_invitations(Invitation.objects.filter(code_digest=digest_of(code)), now)
    if person is not None:
        rows = rows.filter(Q(email="") | Q(email=person.email))
    found = rows.select_related("team__firm", "made_by").first()
    if found is None or not opens(found):
        raise NoSuchInvitation
    return found


def join(code: str, person: Person, now: datetime) -> Invitation:
    """Bring a person of the site into the team. Raises NoSuchInvitation, PeopleError from the demo's other side."""
    with transaction.atomic():
        invitation = invitation_of(code, now, person)
        if words := kept_apart(person, invented=invitation.team.firm.invented):
            raise PeopleError(words)
        return _use(invitation, person, now)


def join_as_new(code: str, *, name: str, email: str, password: str, now: datetime) -> Person:
    """Make the person and bring them into the team. Raises NoSuchInvitation, NotTaken.

    Somebody whom another firm deactivated comes back by the password that they had.
    """
    invitation = invitation_of(code, now)
    newcomer = newcomer_of(name=name, email=invitation.email or email, password=password)
    with transaction.atomic():
        here = Person.objects.filter(email=newcomer.email).first()
        if here is not None and (not here.check_password(password) or here.is_active):
            raise NotTaken({"email": [CANNOT_BE_USED]})
        if here is not None and (words := kept_apart(here, invented=invitation.team.firm.invented)):
            raise NotTaken({"email": [words]})
        newcomer = here or newcomer
        newcomer.is_active = True
        newcomer.save()
        _use(invitation_of(code, now), newcomer, now)
    return newcomer


def newcomer_of(*, name: str, email: str, password: str) -> Person:
    """A person as entered, not saved yet. Raises NotTaken."""
    newcomer = Person(name=plain_name(name), email=email.strip().lower())
    if wrong := _wrong(newcomer, password):
        raise NotTaken(wrong)
    newcomer.set_password(password)
    return newcomer


def _use(invitation: Invitation, person: Person, now: datetime) -> Invitation:
    """Mark it as used, and begin its roles; whoever comes second finds none."""
    wait_for(invitation.team.firm)
    rows = open_invitations(Invitation.objects.filter(pk=invitation.pk), now)
    if not rows.update(used_at=now, used_by=person):
        raise NoSuchInvitation
    begin(person, invitation.team, invitation.roles, by=invitation.made_by, now=now)
    return invitation


def _wrong(newcomer: Person, password: str) -> dict[str, list[str]]:
    wrong: dict[str, list[str]] = {}
    if not newcomer.name:
        wrong["name"] = ["Say by which name your team knows you."]
    elif len(newcomer.name) > NAME_MAX:
        wrong["name"] = [f"At most {NAME_MAX} letters."]
    try:
        validate_email(newcomer.email)
    except ValidationError:
        wrong["email"] = ["That is no e-mail address."]
    try:
        validate_password(password, newcomer)
    except ValidationError as error:
        wrong["password"] = list(error.messages)
    return wrong


__all__ = ["CANNOT_BE_USED", "NoSuchInvitation", "NotTaken", "invitation_of", "join", "join_as_new", "newcomer_of"]
