"""Refreshers that run: how many of those asked have done all of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from trainer.people.models import Team
from trainer.progress.models import Evidence
from trainer.roster.models import Plan, Refresher


@dataclass(frozen=True, slots=True)
class Running:
    """One refresher that has not ended, on a day."""

    id: UUID
    title: str
    team: str
    ready_on: date
    days: int
    """Until that day."""
    people: int
    """Asked for something."""
    done: int
    """Of them, who has done all of it."""
    begun: int
    """Of them, who has done some of it."""
    cases: int
    cases_done: int


def running_in(teams: Iterable[Team], now: datetime) -> tuple[Running, ...]:
    """The refreshers of these teams whose day has not gone, soonest first."""
    rows = Refresher.objects.filter(team__in=[team.pk for team in teams], end__isnull=True, ready_on__gte=now.date())
    found = list(rows.select_related("team").order_by("ready_on", "made_at"))
    if not found:
        return ()
    plans = list(Plan.objects.filter(refresher__in=found))
    practised = _practised(plans)
    return tuple(_one(row, [plan for plan in plans if plan.refresher_id == row.pk], practised, now) for row in found)


def _practised(plans: list[Plan]) -> dict[tuple[Any, str], list[datetime]]:
    """When each of the people asked practised each skill, from the first asking on."""
    out: dict[tuple[Any, str], list[datetime]] = {}
    if plans:
        since = min(plan.made_at for plan in plans)
        rows = Evidence.objects.filter(person__in={plan.person_id for plan in plans}, at__gte=since)
        for person, skill, at in rows.values_list("person_id", "skill", "at"):
            out.setdefault((person, skill), []).append(at)
    return out


def _one(row: Refresher, plans: list[Plan], practised: dict[tuple[Any, str], list[datetime]], now: datetime) -> Running:
    asked = [sum(plan.wanted.values()) for plan in plans]
    done = [
        sum(
            min(count, sum(at >= plan.made_at for at in practised.get((plan.person_id, skill), ())))
            for skill, count in plan.wanted.items()
        )
        for plan in plans
    ]
    return Running(
        id=row.pk,
        title=row.title,
        team=row.team.name,
        ready_on=row.ready_on,
        days=(row.ready_on - now.date()).days,
        people=len(plans),
        done=sum(have >= want for have, want in zip(done, asked, strict=True)),
        begun=sum(0 < have < want for have, want in zip(done, asked, strict=True)),
        cases=sum(asked),
        cases_done=sum(done),
    )


__all__ = ["Running", "running_in"]
