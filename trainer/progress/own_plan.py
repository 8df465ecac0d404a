"""One's own plan for a day: what is asked for, in which sittings, what is done, and what comes after it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

from scoring.mastery.readiness import State
from trainer.people.models import Person
from trainer.progress.asked import Asked, asked_of
from trainer.progress.sittings import CASES_EACH, due_by, sittings
from trainer.progress.standings import now_of
from trainer.progress.why import minutes


@dataclass(frozen=True, slots=True)
class Sitting:
    """One day of a plan."""

    on: date
    upto: int
    """Cases that should be done by its end."""
    reached: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where a plan that is done leaves somebody: go, top up two skills, or call the trainer."""

    state: State
    say: str
    top_up: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OwnPlan:
    """A plan as its person sees it."""

    refresher_id: UUID
    title: str
    ready_on: date
    given_on: date
    by: str
    rows: tuple[Asked, ...]
    sittings: tuple[Sitting, ...]

    @property
    def asked(self) -> int:
        """Cases, over all skills."""
        return sum(one.asked for one in self.rows)

    @property
    def done(self) -> int:
        """Cases done, over all skills."""
        return sum(one.done for one in self.rows)

    @property
    def minutes_left(self) -> int:
        """About how long the rest takes."""
        return minutes(self.asked - self.done)

    @property
    def next(self) -> Asked | None:
        """The skill to go on with: the one with the smallest share done."""
        left = [one for one in self.rows if one.left]
        return min(left, key=lambda one: (one.done / one.asked, one.title), default=None)

    def today(self, day: date) -> int:
        """Cases that a sitting today would take."""
        left = self.asked - self.done
        behind = due_by(day, tuple(one.on for one in self.sittings), self.asked) - self.done
        return min(left, max(behind, min(left, CASES_EACH)))


def own_plans(person: Person, now: datetime) -> list[OwnPlan]:
    """The plans that still ask something or stand until their day, the soonest day first."""
    rows: dict[Any, list[Asked]] = {}
    for one in asked_of(person, now):
        if one.source == "plan":
            rows.setdefault(one.id, []).append(one)
    return [_plan(number, asked, now.date()) for number, asked in rows.items()]


def _plan(number: UUID, rows: list[Asked], today: date) -> OwnPlan:
    first = rows[0]
    assert first.due_on is not None
    given_on, asked, done = first.asked_at.astimezone(UTC).date(), sum(r.asked for r in rows), sum(r.done for r in rows)
    days = sittings(given_on, first.due_on, asked)
    steps = tuple(Sitting(day, due_by(day, days, asked), done >= due_by(day, days, asked)) for day in days)
    return OwnPlan(number, first.words, first.due_on, given_on, first.by, tuple(rows), steps)


def own_plan(person: Person, refresher_id: UUID, now: datetime) -> OwnPlan | None:
    """One of them; None when the person has no such plan or it is over."""
    return next((plan for plan in own_plans(person, now) if plan.refresher_id == refresher_id), None)


def outcome_of(person: Person, now: datetime) -> Outcome:
    """What comes after a plan that is done."""
    stands = now_of(person, now)
    gaps = [gap for gap in stands.gaps if gap.cases and gap.promised]
    weak = tuple(dict.fromkeys(gap.words for gap in gaps))[:2]
    if stands.state == "ready":
        return Outcome(stands.state, "Ready: go.", ())
    # What no promised number of cases closes, as a shoot, needs somebody however little else is missing.
    if stands.state == "held" or not weak or len(gaps) > 2 or len(gaps) < len(stands.gaps):
        return Outcome(stands.state, "Call your trainer: more than a few drills is needed.", weak)
    return Outcome(stands.state, "Top up:", weak)


__all__ = ["Outcome", "OwnPlan", "Sitting", "outcome_of", "own_plan", "own_plans"]
