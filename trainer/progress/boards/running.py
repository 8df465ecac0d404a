"""Refreshers that run: how many of those asked have done all of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from trainer.people.access import Visitor, followed
from trainer.people.models import Team
from trainer.progress.plans_done import Done, done_of, plans_that_stand
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


def running_in(teams: Iterable[Team], visitor: Visitor, now: datetime) -> tuple[Running, ...]:
    """The refreshers of these teams whose day has not gone, soonest first, with the plans of those one follows."""
    rows = Refresher.objects.filter(team__in=[team.pk for team in teams], end__isnull=True, ready_on__gte=now.date())
    found = list(rows.select_related("team").order_by("ready_on", "made_at"))
    if not found:
        return ()
    plans = list(followed(plans_that_stand(Plan.objects.filter(refresher__in=found)), visitor))
    done = done_of(plans, now)
    return tuple(_one(row, [done[plan.pk] for plan in plans if plan.refresher_id == row.pk], now) for row in found)


def _one(row: Refresher, plans: list[Done], now: datetime) -> Running:
    return Running(
        id=row.pk,
        title=row.title,
        team=row.team.name,
        ready_on=row.ready_on,
        days=(row.ready_on - now.date()).days,
        people=len(plans),
        done=sum(plan.left == 0 for plan in plans),
        begun=sum(plan.count > 0 and plan.left > 0 for plan in plans),
        cases=sum(plan.asked for plan in plans),
        cases_done=sum(plan.count for plan in plans),
    )


__all__ = ["Running", "running_in"]
