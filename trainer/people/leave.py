"""Leave: end all one's own roles in a team. What one did there stays with oneself."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from trainer.people.models import Membership, Person, Team
from trainer.people.roles import ORDER, PeopleError, end, keep_an_owner, owners_of, wait_for


def leave(person: Person, team: Team, now: datetime) -> None:
    """End one's own roles in a team. Raises PeopleError for the last owner of the firm, and where one is not."""
    with transaction.atomic():
        firm = wait_for(team.firm)
        owners = owners_of(firm)
        if not end(person, team, ORDER, by=person, how=Membership.End.LEFT, now=now):
            raise PeopleError("You are not in this team.")
        keep_an_owner(firm, owners)


__all__ = ["leave"]
