"""Who may see what, as querysets: what is not in them cannot be fetched.

| | own | team mate's | other team's of the firm | other firm's |
|---|---|---|---|---|
| operator | all of it | name only | nothing | nothing |
| trainer, manager of that team | all of it | records of the team's operators | nothing | nothing |
| owner in any team of the firm | all of it | records of the firm's operators | the same | nothing |

Only memberships that last count. What a person did in a team stays with the person: whoever leads the team that the
person is in now sees it, whoever led an earlier one no longer does. What others entered about a person (decisions,
shoots, remarks, what was given) stays with the firm that it was entered for: another firm sees none of it.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import TypeVar
from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import Exists, Model, OuterRef, Q, QuerySet

from trainer.people.models import Firm, Membership, Person, Role, Team

Visitor = Person | AnonymousUser

LEADING = (Role.TRAINER, Role.MANAGER, Role.OWNER)
"""Roles that look after other people's practice."""
DECIDING = (Role.MANAGER, Role.OWNER)
"""Roles that say who is sent: holds, overrules, refreshers, kits, invitations."""


def lasting() -> QuerySet[Membership]:
    """The memberships that have not ended."""
    return Membership.objects.filter(until__isnull=True)


def teams_of(visitor: Visitor) -> QuerySet[Team]:
    """The teams that this visitor is in, in any role."""
    if not isinstance(visitor, Person):
        return Team.objects.none()
    return Team.objects.filter(pk__in=lasting().filter(person=visitor).values("team"))


def firms_of(visitor: Visitor) -> QuerySet[Firm]:
    """The firms that this visitor works for."""
    return Firm.objects.filter(pk__in=teams_of(visitor).values("firm"))


def firms_of_people(people: QuerySet[Person]) -> dict[UUID, UUID]:
    """The firm whose standard and rule each of these people goes by: the oldest of those they work for."""
    works = lasting().filter(person__in=people).order_by("-team__firm__made_at", "team__firm")
    return dict(works.values_list("person", "team__firm"))


def firms_that_employ(people: QuerySet[Person]) -> list[UUID]:
    """The firms that any of these people work for."""
    return list(lasting().filter(person__in=people).order_by().values_list("team__firm", flat=True).distinct())


def firms_owned_by(visitor: Visitor) -> QuerySet[Firm]:
    """The firms that this visitor is an owner of."""
    if not isinstance(visitor, Person):
        return Firm.objects.none()
    return Firm.objects.filter(pk__in=lasting().filter(person=visitor, role=Role.OWNER).values("team__firm"))


def firms_decided_by(visitor: Visitor) -> QuerySet[Firm]:
    """The firms whose kits this visitor may enter: where one decides for some team."""
    return Firm.objects.filter(pk__in=teams_decided_by(visitor).values("firm"))


def firms_led_by(visitor: Visitor) -> QuerySet[Firm]:
    """The firms whose house standard this visitor may read: where one leads some team."""
    return Firm.objects.filter(pk__in=teams_led_by(visitor).values("firm"))


def teams_with(visitor: Visitor, *roles: str) -> QuerySet[Team]:
    """The teams where this visitor holds one of the roles; an owner holds them all in every team of the firm."""
    if not isinstance(visitor, Person):
        return Team.objects.none()
    held = lasting().filter(person=visitor, role__in=roles).values("team")
    return Team.objects.filter(Q(pk__in=held) | Q(firm__in=firms_owned_by(visitor)))


def teams_led_by(visitor: Visitor) -> QuerySet[Team]:
    """The teams whose operators' records this visitor may see."""
    return teams_with(visitor, *LEADING)


def teams_decided_by(visitor: Visitor) -> QuerySet[Team]:
    """The teams for which this visitor decides who is sent."""
    return teams_with(visitor, *DECIDING)


def teams_trained_by(visitor: Visitor) -> QuerySet[Team]:
    """The teams whose shoots this visitor may observe and sign."""
    return teams_with(visitor, Role.TRAINER)


def operators_of(teams: QuerySet[Team]) -> QuerySet[Person]:
    """The operators of these teams."""
    return Person.objects.filter(pk__in=lasting().filter(team__in=teams, role=Role.OPERATOR).values("person"))


def people_named_to(visitor: Visitor) -> QuerySet[Person]:
    """The persons whose name this visitor may see: oneself, the members of one's teams and of teams one leads."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    mates = lasting().filter(Q(team__in=teams_of(visitor)) | Q(team__in=teams_led_by(visitor))).values("person")
    return Person.objects.filter(Q(pk=visitor.pk) | Q(pk__in=mates))


def people_followed_by(visitor: Visitor) -> QuerySet[Person]:
    """The persons whose records this visitor may see: oneself and the operators of teams one leads."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    return Person.objects.filter(Q(pk=visitor.pk) | Q(pk__in=operators_of(teams_led_by(visitor))))


def people_decided_by(visitor: Visitor) -> QuerySet[Person]:
    """The operators about whom this visitor decides, oneself never among them."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    return operators_of(teams_decided_by(visitor)).exclude(pk=visitor.pk)


def members_decided_by(visitor: Visitor) -> QuerySet[Person]:
    """The persons, in whatever role, of the teams for which this visitor decides; oneself may be among them."""
    members = lasting().filter(team__in=teams_decided_by(visitor))
    return Person.objects.filter(pk__in=members.values("person"))


def people_trained_by(visitor: Visitor) -> QuerySet[Person]:
    """The operators whose shoots this visitor may sign, oneself never among them."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    return operators_of(teams_trained_by(visitor)).exclude(pk=visitor.pk)


def people_led_by(visitor: Visitor) -> QuerySet[Person]:
    """The operators to whom this visitor gives drills, kits and remarks, oneself never among them."""
    if not isinstance(visitor, Person):
        return Person.objects.none()
    return operators_of(teams_led_by(visitor)).exclude(pk=visitor.pk)


Row = TypeVar("Row", bound=Model)


def own(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows that belong to the visitor; rows have a ``person``."""
    return rows.filter(person=visitor) if isinstance(visitor, Person) else rows.none()


def followed(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows whose ``person`` the visitor may follow."""
    return rows.filter(person__in=people_followed_by(visitor))


def entered_for(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows that are about the visitor, or were entered for a firm in which the visitor leads.

    Rows have a ``person`` and a ``firm``; whether the visitor may see the person at all is asked beside it.
    """
    if not isinstance(visitor, Person):
        return rows.none()
    return rows.filter(Q(person=visitor) | Q(firm__in=firms_led_by(visitor)))


def of_present_firms(rows: QuerySet[Row]) -> QuerySet[Row]:
    """Those of the rows whose ``person`` works for their ``firm`` at present."""
    return rows.filter(Exists(lasting().filter(person=OuterRef("person"), team__firm=OuterRef("firm"))))


def firm_between(person: UUID, by: UUID | None, roles: Collection[str] = LEADING) -> UUID | None:
    """The firm for which somebody enters something about a person: the oldest in which they do so in one of the roles.

    Who works for two firms with the person may decide in one of them and only train in the other. Where there is no
    such firm, it is the oldest that the person works for, whose rule the person goes by.
    """
    firms, works = Firm.objects.order_by("made_at", "pk"), lasting().filter(person=person)
    leader = None if by is None else Person.objects.filter(pk=by).first()
    led = works.filter(role=Role.OPERATOR, team__in=teams_with(leader or AnonymousUser(), *roles))
    found = firms.filter(pk__in=led.values("team__firm")).values_list("pk", flat=True).first()
    return found or firms.filter(pk__in=works.values("team__firm")).values_list("pk", flat=True).first()


def of_teams_led(rows: QuerySet[Row], visitor: Visitor) -> QuerySet[Row]:
    """Those of the rows whose ``team`` the visitor leads."""
    return rows.filter(team__in=teams_led_by(visitor))


__all__ = [
    "DECIDING", "LEADING", "Visitor", "entered_for", "firm_between", "firms_decided_by", "firms_led_by", "firms_of",
    "firms_of_people", "firms_owned_by", "firms_that_employ", "followed", "lasting", "members_decided_by",
    "of_present_firms", "of_teams_led", "operators_of", "own", "people_decided_by", "people_followed_by",
    "people_led_by", "people_named_to", "people_trained_by", "teams_decided_by", "teams_led_by", "teams_of",
    "teams_trained_by", "teams_with",
]  # fmt: skip
