"""A refresher as its manager follows it: who is asked for what, what is done, and the days on which it was done."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from trainer.library.skills import skill_name
from trainer.people.access import followed
from trainer.people.models import Person
from trainer.progress.plans_done import Done, done_of, of_those_here
from trainer.progress.sittings import due_by, sittings
from trainer.roster.models import Plan, Refresher

DAYS_SHOWN = 14


@dataclass(frozen=True, slots=True)
class Followed:
    """One person's plan."""

    name: str
    skills: tuple[tuple[str, int, int], ...]
    """(name, done, asked) of each skill."""
    done: int
    asked: int
    due: int
    """Cases that the spacing of the plan asks for by now."""
    minutes: int
    chance: float
    """The forecast on the day on which the plan was given."""
    newest_on: date | None

    @property
    def says(self) -> str:
        """How it stands, in words."""
        if self.done >= self.asked:
            return "done"
        if self.done == 0:
            return "not begun" if self.due == 0 else f"not begun; {self.due} by now"
        return "on its way" if self.done >= self.due else "fewer than by now"


@dataclass(frozen=True, slots=True)
class Day:
    """What was done on one day."""

    on: date
    cases: int
    people: int


@dataclass(frozen=True, slots=True)
class Progress:
    """All of it."""

    people: tuple[Followed, ...]
    days: tuple[Day, ...]
    """The newest first, those with nothing too."""

    @property
    def asked(self) -> int:
        """Cases asked for."""
        return sum(one.asked for one in self.people)

    @property
    def done(self) -> int:
        """Cases done."""
        return sum(one.done for one in self.people)

    @property
    def finished(self) -> int:
        """People who have done all of it."""
        return sum(one.done >= one.asked for one in self.people)


def progress_of(refresher: Refresher, visitor: Person, now: datetime) -> Progress:
    """How a refresher stands. Somebody who has gone to a team that the visitor does not lead is left out."""
    rows = followed(of_those_here(refresher.plans.all()), visitor)
    plans = list(rows.select_related("person").order_by("person__name", "pk"))
    done = done_of(plans, now)
    people = tuple(_followed(plan, done[plan.pk], refresher, now.date()) for plan in plans)
    return Progress(people, _days(plans, done, now.date()))


def _followed(plan: Plan, done: Done, refresher: Refresher, today: date) -> Followed:
    given_on = plan.made_at.astimezone(UTC).date()
    return Followed(
        name=plan.person.name,
        skills=tuple((skill_name(code), len(done.skills[code]), count) for code, count in sorted(plan.wanted.items())),
        done=done.count,
        asked=done.asked,
        due=due_by(today, sittings(given_on, refresher.ready_on, done.asked), done.asked),
        minutes=plan.minutes,
        chance=plan.chance,
        newest_on=None if done.newest is None else done.newest.astimezone(UTC).date(),
    )


def _days(plans: list[Plan], done: dict[int, Done], today: date) -> tuple[Day, ...]:
    if not plans:
        return ()
    cases: Counter[date] = Counter()
    people: dict[date, set[int]] = {}
    for number, one in done.items():
        for moments in one.skills.values():
            for at in moments:
                day = at.astimezone(UTC).date()
                cases[day] += 1
                people.setdefault(day, set()).add(number)
    first = max(min(plan.made_at for plan in plans).astimezone(UTC).date(), today - timedelta(days=DAYS_SHOWN - 1))
    count = (today - first).days + 1
    days = (today - timedelta(days=back) for back in range(count))
    return tuple(Day(day, cases[day], len(people.get(day, ()))) for day in days)


__all__ = ["Day", "Followed", "Progress", "progress_of"]
