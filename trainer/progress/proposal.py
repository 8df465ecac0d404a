"""Who needs what before a day: each record is forecast for it, and what is missing then becomes drills and minutes.

    record today --decay--> forecast on the day --rule--> gaps then --> {skill: drills}, minutes

Who would still be ready that day needs nothing. What lifts the overall chance goes to the skills where the score of
that day falls shortest, starred ones and those that reshoots go with first. A skill is given at least twice, so that
it can be met in two sittings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import QuerySet

from scoring.mastery.ahead import more_overall
from scoring.mastery.readiness import Gap, Rule, State
from scoring.mastery.selection import STAR_MORE
from trainer.library.rules import rules_for
from trainer.library.shelf import recipes
from trainer.library.skills import skill_map, skill_name
from trainer.people.access import Visitor
from trainer.people.models import Person
from trainer.progress.history import Told, state_on
from trainer.progress.life import tallied
from trainer.progress.renew import fresh
from trainer.progress.standings import Now, now_of_many
from trainer.progress.tally import Tally, dawn
from trainer.progress.why import UNSURE_CASES, minutes

TWICE = 2
SKILL_MOST = 6
"""Drills of one skill in one plan."""
CASES_MOST = 32
"""Four sittings."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one person would be asked for, and why."""

    person_id: UUID
    name: str
    state: State
    """Today."""
    then: State
    """On the day, if nothing is practised."""
    chance: float | None
    """Of being at the cut on the day, 0..1; not computed for who is ready then."""
    wanted: dict[str, int]
    """{skill code: drills}; empty when nothing is needed."""
    pressing: bool
    """Was ready once and would not be on that day: whom a refresher is for."""
    beside: tuple[str, ...]
    """What no drill can bring, in words."""

    @property
    def cases(self) -> int:
        """Drills, over all skills."""
        return sum(self.wanted.values())

    @property
    def minutes(self) -> int:
        """About how long they take."""
        return minutes(self.cases)

    @property
    def skills(self) -> list[tuple[str, int]]:
        """Names of skills with their drills."""
        return [(skill_name(code), count) for code, count in self.wanted.items()]


def propose(
    people: QuerySet[Person], ready_on: date, now: datetime, *, weights: Mapping[str, float], visitor: Visitor
) -> list[Proposal]:
    """A proposal for each of these people: those whom it is for first, then by name. A tenth of a second for each.

    ``weights`` is what reshoots weigh on skills.
    """
    rules = rules_for(people, ready_on)
    then = states_then(people, ready_on)
    practised = {skill for recipe in recipes() for skill in recipe.skills}
    found = [
        _one(one, then[one.person_id], rules[one.person_id], ready_on, practised, weights)
        for one in now_of_many(people, now, visitor)
    ]
    return sorted(found, key=lambda one: (not one.pressing, not one.wanted, one.name.casefold(), str(one.person_id)))


def states_then(people: QuerySet[Person], ready_on: date) -> dict[UUID, State]:
    """The state of each of these people on a day, if nothing more is practised; the same as a forecast's."""
    rows = fresh(people.order_by(), ready_on, store=False)
    return {
        person: state_on(Told(row.state, row.since), row.due_on, row.lapsed_on, ready_on).state  # type: ignore[arg-type]
        for person, row in rows.items()
    }


def _one(
    today: Now, then: State, rule: Rule, ready_on: date, practised: set[str], weights: Mapping[str, float]
) -> Proposal:
    if then == "ready":
        return Proposal(today.person_id, today.name, today.state, then, None, {}, False, ())
    tally, moment = tallied(today.person_id, rule), dawn(ready_on)
    gaps = tally.gaps(moment)
    wanted = _wanted(tally, gaps, moment, practised, weights)
    chance = tally.figures(moment).overall.chance
    pressing = then in {"due", "lapsed"} and bool(wanted)
    return Proposal(today.person_id, today.name, today.state, then, chance, wanted, pressing, _beside(gaps, practised))


def _wanted(
    tally: Tally, gaps: tuple[Gap, ...], moment: float, practised: set[str], weights: Mapping[str, float]
) -> dict[str, int]:
    given: dict[str, int] = {}
    for gap in gaps:
        if gap.skill in practised and gap.what != "shoot":
            missing = int(gap.asked - gap.found) if gap.what in {"star-count", "conduct"} else 0
            given[gap.skill] = min(SKILL_MOST, max(given.get(gap.skill, 0), missing, TWICE))
    if any(gap.what == "false-alarms" for gap in gaps) and "V1" in practised:
        given["V1"] = max(given.get("V1", 0), TWICE)
    if any(gap.what == "overall" for gap in gaps):
        rule = tally.ground.rule
        more = more_overall(
            tally.belief, tally.ground.standard, on_day=moment, cut=rule.cut_points, ready_at=rule.ready_chance
        )
        _spread(given, more if more is not None else UNSURE_CASES, tally, moment, practised, weights)
    if not gaps:
        # Idle for too long and nothing else: any case brings it up to date.
        _spread(given, 1, tally, moment, practised, weights)
    return dict(sorted(given.items()))


def _spread(
    given: dict[str, int], least: int, tally: Tally, moment: float, practised: set[str], weights: Mapping[str, float]
) -> None:
    """Add drills, two of a skill at a time, until there are at least so many or no skill takes more."""
    figures = tally.figures(moment).skills
    needs = {
        code: max(1.0, 100.0 - figure.score)
        * (STAR_MORE if skill_map()[code]["star"] else 1.0)
        * max(1.0, weights.get(code, 1.0))
        for code, figure in figures.items()
        if code in practised
    }
    while sum(given.values()) < min(least, CASES_MOST):
        open_skills = [code for code in needs if given.get(code, 0) + TWICE <= SKILL_MOST]
        if not open_skills:
            return
        best = min(open_skills, key=lambda code: (-needs[code] / (1 + given.get(code, 0)), code))
        given[best] = given.get(best, 0) + TWICE


def _beside(gaps: tuple[Gap, ...], practised: set[str]) -> tuple[str, ...]:
    """What has to be brought otherwise."""
    out = ["a signed shoot" for gap in gaps if gap.what == "shoot" and not gap.skill]
    out += [f"a signed shoot that shows {skill_name(gap.skill)}" for gap in gaps if gap.what == "shoot" and gap.skill]
    out += ["the list of the changed parts of the kit, with a trainer" for gap in gaps if gap.what == "kit-list"]
    out += [
        f"{skill_name(gap.skill)}, for which there is no drill"
        for gap in gaps
        if gap.what != "shoot" and gap.skill and gap.skill not in practised
    ]
    return tuple(dict.fromkeys(out))


__all__ = ["CASES_MOST", "SKILL_MOST", "Proposal", "propose", "states_then"]
