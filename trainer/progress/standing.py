"""Where a person stands: expected scores on the standard set with their intervals, from the evidence of the ledger.

The same evidence, population, set and day give the same figures to the last digit; no figure is stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache

from django.conf import settings

from scoring.mastery.ability import Answered, Belief, Figure, Figures, believe, figures
from scoring.mastery.decision import Call, call, more_cases
from scoring.mastery.population import STARTING, StandardSet, read_standard_set
from scoring.mastery.readiness import Rule
from trainer.library.rules import SITE_RULE, rules_for
from trainer.library.skills import skill_map, skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Evidence
from trainer.progress.tally import day_of

RULE = SITE_RULE


@dataclass(frozen=True, slots=True)
class SkillStanding:
    """One skill of the standard set: its figure, the call, and how many more cases would settle it."""

    code: str
    name: str
    star: bool
    figure: Figure
    call: Call
    more: int | None
    """Cases that would settle it if they go as expected; None when no promised number would."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One person on one day."""

    overall: Figure
    call: Call
    skills: tuple[SkillStanding, ...]
    set_version: str
    cut_points: float


@cache
def standard_set() -> StandardSet:
    """The standard set in force: the last one of the scenarios by version."""
    path = max((settings.SCENARIOS / "rounds").glob("*.json"), key=lambda one: (len(one.stem), one.stem))
    return read_standard_set(path.read_bytes())


def belief_of(person: Person) -> Belief:
    """All that a person's evidence says, in the order of the ledger."""
    rows = own(Evidence.objects.all(), person).order_by("entry", "skill").iterator(chunk_size=1000)
    evidence = (
        Answered(
            skill=row.skill,
            credit=row.credit,
            difficulty_logit=row.difficulty_logit,
            difficulty_sd=row.difficulty_sd,
            guess_floor=row.guess_floor,
            day=day_of(row.at),
        )
        for row in rows
    )
    return believe(evidence, STARTING, standard_set().skills)


def standing_of(person: Person, now: datetime) -> Standing:
    """Where a person stands on a day, by the numbers of the rule in force."""
    belief, standard, day = belief_of(person), standard_set(), day_of(now)
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    found: Figures = figures(belief, standard, on_day=day, cut=rule.cut_points)
    rows = []
    for code, figure in found.skills.items():
        said = _called(figure, rule)
        more: int | None = 0
        if said == "not enough evidence":
            more = more_cases(
                belief, standard, code, on_day=day, cut=rule.cut_points, ready_at=rule.ready_chance,
                not_ready_at=rule.not_ready_chance,
            )  # fmt: skip
        star = bool(skill_map().get(code, {}).get("star"))
        rows.append(SkillStanding(code, skill_name(code), star, figure, said, more))
    rows.sort(key=lambda row: row.code)
    return Standing(found.overall, _called(found.overall, rule), tuple(rows), standard.version, rule.cut_points)


def _called(figure: Figure, rule: Rule) -> Call:
    return call(figure.chance, ready_at=rule.ready_chance, not_ready_at=rule.not_ready_chance)


__all__ = ["RULE", "SkillStanding", "Standing", "belief_of", "standard_set", "standing_of"]
