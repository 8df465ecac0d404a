"""What is done of plans: the one place that counts it, for the person, the manager and the boards alike.

A plan asks for so many cases on each of some skills. A graded case counts for every skill that it gives evidence on,
from the moment of asking on, and never more often than was asked; a void case is no evidence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from trainer.people.access import lasting
from trainer.progress.models import Evidence
from trainer.roster.models import Plan


@dataclass(frozen=True, slots=True)
class Done:
    """What is done of one plan."""

    skills: dict[str, list[datetime]]
    """For each skill asked for, when the cases that count were done; no more of them than were asked for."""
    asked: int

    @property
    def count(self) -> int:
        """Cases that count, over all skills."""
        return sum(len(moments) for moments in self.skills.values())

    @property
    def left(self) -> int:
        """Cases still to do, over all skills."""
        return self.asked - self.count

    @property
    def newest(self) -> datetime | None:
        """When the last one was done."""
        return max((moments[-1] for moments in self.skills.values() if moments), default=None)


def of_those_here(plans: QuerySet[Plan]) -> QuerySet[Plan]:
    """Those of the plans whose person still works for the firm that gave them."""
    here = lasting().filter(person=OuterRef("person"), team__firm=OuterRef("refresher__team__firm"))
    return plans.filter(Exists(here))


def plans_that_stand(plans: QuerySet[Plan]) -> QuerySet[Plan]:
    """Of these, those whose refresher has not ended."""
    return of_those_here(plans).filter(refresher__end__isnull=True)


def done_of(plans: Iterable[Plan], now: datetime) -> dict[int, Done]:
    """What is done of each plan up to a moment, by the plan's number; one query however many there are."""
    given = list(plans)
    practised: dict[tuple[Any, str], list[datetime]] = {}
    if given:
        since = min(plan.made_at for plan in given)
        skills = {skill for plan in given for skill in plan.wanted}
        rows = Evidence.objects.filter(
            person__in={plan.person_id for plan in given}, skill__in=skills, at__gte=since, at__lte=now
        )
        for person, skill, at in rows.order_by("at", "entry").values_list("person_id", "skill", "at"):
            practised.setdefault((person, skill), []).append(at)
    return {plan.pk: _done(plan, practised) for plan in given}


def _done(plan: Plan, practised: dict[tuple[Any, str], list[datetime]]) -> Done:
    skills = {
        skill: [at for at in practised.get((plan.person_id, skill), ()) if at >= plan.made_at][:count]
        for skill, count in sorted(plan.wanted.items())
    }
    return Done(skills, sum(plan.wanted.values()))


__all__ = ["Done", "done_of", "of_those_here", "plans_that_stand"]
