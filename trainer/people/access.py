"""Who may see what, as querysets: what is not in them cannot be fetched.

| | own | team mate's | other team's |
|---|---|---|---|
| operator | all of it | name only | nothing |
| trainer, manager, owner of that team | all of it | records of the team's operators | nothing |
"""

from __future__ import annotations

from typing import TypeVar

from django.contrib.auth.models import AnonymousUser
from django.db.models import Model, Q, QuerySet

from trainer.people.models import Membership, Person, Role, Team

Visitor = Person | AnonymousUser

LEADING = (Role.TRAINER, Role.MANAGER, Role.OWNER)
"""Roles that look after other people's practice."""


def teams_of(visitor: Visitor) -> QuerySet[Team]:
    """The teams that this visitor is in, in any role."""
    if not isinstance(visitor, Person):
        return Team.objects.none()
    return Team.objects.filter(memberships__person=visitor).distinct()


def teams_led_by(visitor: Visitor) -> QuerySet[Team]:
    """The teams whose operators' records this visitor may see."""
    if not isinstance(visitor, Person):
        return Team.objects.none()
    return Team.objects.filter(memberships__person=visitor, memberships__role__in=LEADING).distinct()


def people_named_to(visitor: Visitor) -> QuerySet[Person]:
    """The persons whose name this visitor may see: oneself and the members of one's teams."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    mates = Membership.objects.filter(team__in=teams_of(visitor)).values("person")
    return Person.objects.filter(Q(pk=visitor.pk) | Q(pk__in=mates))


def people_followed_by(visitor: Visitor) -> QuerySet[Person]:
    """The persons whose records this visitor may see: oneself and the operators of teams one leads."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    led = Membership.objects.filter(team__in=teams_led_by(visitor), role=Role.OPERATOR).values("person")
    return Person.objects.filter(Q(pk=visitor.pk) | Q(pk__in=led))


Row = TypeVar("Row", bound=Model)


def own(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows that belong to the visitor; rows have a ``person``."""
    return rows.filter(person=visitor) if isinstance(visitor, Person) else rows.none()


def followed(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows whose ``person`` the visitor may follow."""
    return rows.filter(person__in=people_followed_by(visitor))


__all__ = [
    "LEADING", "Visitor", "followed", "own", "people_followed_by", "people_named_to", "teams_led_by", "teams_of",
]  # fmt: skip
