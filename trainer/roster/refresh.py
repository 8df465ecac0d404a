"""Refresh: a manager sets a day by which a team should be ready, gives people their plans for it, and ends it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet

from trainer.library.skills import skill_map
from trainer.people.access import operators_of, people_decided_by, teams_decided_by
from trainer.people.models import Person, Team
from trainer.roster.entry import EntryError, once, said
from trainer.roster.models import Plan, Refresher, RefresherEnd

TITLE_MAX = 120
AHEAD_DAYS_MAX = 365
CASES_MAX = 20
"""Of one skill in one plan."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one person is asked for."""

    person: Person
    skills: Mapping[str, int]
    """{skill code: drills}."""
    minutes: int
    chance: float
    """The forecast for the day on which it is given, 0..1."""


def set_refresher(team: Team, *, title: str, ready_on: date, by: Person, key: uuid.UUID, now: datetime) -> Refresher:
    """Set the day; sent again with the same key, it gives the same refresher again.

    Raises PermissionDenied for a team that ``by`` does not decide for, EntryError with the reason, KeyTaken.
    """
    if not teams_decided_by(by).filter(pk=team.pk).exists():
        raise PermissionDenied("Only who decides for the team sets a day for it.")
    if not now.date() < ready_on <= now.date() + timedelta(days=AHEAD_DAYS_MAX):
        raise EntryError("Give a day from tomorrow to a year ahead.")
    name = said(title, least=3, most=TITLE_MAX, what="a name, like “Season starts”,")
    rest = {"ready_on": ready_on, "title": name, "made_at": now}
    return once(Refresher.objects.all(), {"pk": key}, {"team": team, "by": by}, rest)


def give_plans(refresher: Refresher, wanted: Sequence[Wanted], *, by: Person, now: datetime) -> int:
    """Give people their plans, all of them or none; who has one for this refresher keeps it. How many are new.

    Raises PermissionDenied when ``by`` does not decide about one of them, EntryError with the reason.
    """
    if not teams_decided_by(by).filter(pk=refresher.team_id).exists():
        raise PermissionDenied("Only who decides for the team gives plans.")
    if not refresher_open(refresher, now.date()):
        raise EntryError("This refresher is over; set another day.")
    people = {one.person.pk for one in wanted}
    if those_asked(refresher, by).filter(pk__in=people).count() != len(people):
        raise PermissionDenied("Plans are given to the team's operators.")
    for one in wanted:
        if not one.skills or not all(
            code in skill_map() and 1 <= count <= CASES_MAX for code, count in one.skills.items()
        ):
            raise EntryError(f"There is nothing to practise in the plan of {one.person}.")
    with transaction.atomic():
        made = 0
        for one in wanted:
            rest = {
                "wanted": dict(one.skills), "minutes": one.minutes, "chance": min(1.0, max(0.0, one.chance)),
                "made_at": now,
            }  # fmt: skip
            _, fresh = Plan.objects.get_or_create(refresher=refresher, person=one.person, defaults=rest)
            made += fresh
    return made


def end_refresher(refresher: Refresher, *, by: Person, now: datetime) -> RefresherEnd:
    """From now on it asks nothing of anybody. Raises PermissionDenied."""
    if not teams_decided_by(by).filter(pk=refresher.team_id).exists():
        raise PermissionDenied("Only who decides for the team ends a refresher.")
    made, _ = RefresherEnd.objects.get_or_create(refresher=refresher, defaults={"by": by, "made_at": now})
    return made


def those_asked(refresher: Refresher, by: Person) -> QuerySet[Person]:
    """The operators of the team about whom ``by`` decides: who may be asked."""
    team = Team.objects.filter(pk=refresher.team_id)
    return people_decided_by(by).filter(pk__in=operators_of(team).values("pk"))


def refresher_open(refresher: Refresher, today: date) -> bool:
    """Whether it still asks something of somebody."""
    return refresher.ready_on >= today and not RefresherEnd.objects.filter(refresher=refresher).exists()


__all__ = [
    "AHEAD_DAYS_MAX", "TITLE_MAX", "Wanted", "end_refresher", "give_plans", "refresher_open", "set_refresher",
    "those_asked",
]  # fmt: skip
