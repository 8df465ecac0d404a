"""What others asked of a person to practise, with how much of it is done: drills given, and plans for a day.

    Assignment: so many cases of one drill      Plan of a refresher: so many cases on each of some skills

Done is counted from the ledger, from the moment of asking on; a void case does not count.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal
from uuid import UUID

from trainer.drills.models import Attempt
from trainer.library.shelf import recipes
from trainer.library.skills import skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.plans_done import done_of, plans_that_stand
from trainer.roster.assign import open_assignments
from trainer.roster.models import Plan


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing asked for: a drill by its recipe, or a skill whichever drill practises it."""

    source: Literal["assignment", "plan"]
    id: UUID | int
    """Of the assignment; of the refresher, where it is a plan."""
    title: str
    """Title of the drill, or name of the skill."""
    recipe: str
    """Empty where a skill is asked for."""
    skill: str
    """Empty where a drill is asked for."""
    asked: int
    done: int
    """Never more than asked."""
    by: str
    """Name of who asked; empty for somebody who has left."""
    words: str
    due_on: date | None
    asked_at: datetime

    @property
    def left(self) -> int:
        """So many cases are still to do."""
        return self.asked - self.done

    def late(self, today: date) -> bool:
        """Whether its day is gone and something is left."""
        return self.left > 0 and self.due_on is not None and self.due_on < today


def asked_of(person: Person, now: datetime) -> list[Asked]:
    """All that stands on the day of ``now``: what is left first, by its day, then what is done.

    An assignment that was withdrawn is gone; so is a plan whose refresher has ended or whose day is over, and so is
    what a firm asked that the person works for no more.
    """
    rows = [*_assignments(person, now), *_plans(person, now)]
    return sorted(rows, key=lambda one: (one.left == 0, one.due_on or date.max, one.asked_at, one.title))


@dataclass(frozen=True, slots=True)
class AskedFor:
    """What stands on the first page: drills given, and plans, each with its skills."""

    drills: tuple[Asked, ...]
    plans: tuple[tuple[Asked, ...], ...]

    def __bool__(self) -> bool:
        return bool(self.drills or self.plans)


def asked_for(person: Person, now: datetime) -> AskedFor:
    """The same by what it is: an assignment that is done leaves the list, a plan stays until its day with all of it."""
    rows = asked_of(person, now)
    plans: dict[UUID | int, list[Asked]] = {}
    for one in rows:
        if one.source == "plan":
            plans.setdefault(one.id, []).append(one)
    return AskedFor(
        drills=tuple(one for one in rows if one.source == "assignment" and one.left),
        plans=tuple(tuple(one) for one in plans.values()),
    )


def _assignments(person: Person, now: datetime) -> list[Asked]:
    given = list(open_assignments(person).filter(made_at__lte=now))
    if not given:
        return []
    titles = {recipe.name: recipe.title for recipe in recipes()}
    graded: dict[str, list[datetime]] = {}
    done = own(Attempt.objects.filter(mode=Attempt.Mode.DRILL, void__isnull=True), person).filter(
        recipe__in={one.recipe for one in given}, answer__received_at__lte=now
    )
    for recipe, at in done.order_by("answer__received_at").values_list("recipe", "answer__received_at"):
        graded.setdefault(recipe, []).append(at)
    return [
        Asked(
            source="assignment", id=one.pk, title=titles.get(one.recipe, one.recipe), recipe=one.recipe, skill="",
            asked=one.count, done=min(one.count, _since(graded.get(one.recipe, []), one.made_at)),
            by=one.by.name if one.by is not None else "", words=one.words, due_on=one.due_on, asked_at=one.made_at,
        )
        for one in given
    ]  # fmt: skip


def done_of_given(person: Person, now: datetime) -> dict[Any, int]:
    """How many cases of each drill given to a person are graded."""
    return {one.id: one.done for one in _assignments(person, now)}


def _plans(person: Person, now: datetime) -> list[Asked]:
    rows = own(plans_that_stand(Plan.objects.filter(made_at__lte=now)), person).select_related("refresher__by")
    given = list(rows.filter(refresher__ready_on__gte=now.date()).order_by("refresher__ready_on", "pk"))
    if not given:
        return []
    done = done_of(given, now)
    return [
        Asked(
            source="plan", id=plan.refresher_id, title=skill_name(skill), recipe="", skill=skill,
            asked=count, done=len(done[plan.pk].skills[skill]),
            by=plan.refresher.by.name if plan.refresher.by is not None else "", words=plan.refresher.title,
            due_on=plan.refresher.ready_on, asked_at=plan.made_at,
        )
        for plan in given
        for skill, count in sorted(plan.wanted.items())
    ]  # fmt: skip


def _since(moments: list[datetime], start: datetime) -> int:
    """How many of the moments, in order, are not before the start."""
    return len(moments) - bisect_left(moments, start)


__all__ = ["Asked", "AskedFor", "asked_for", "asked_of", "done_of_given"]
