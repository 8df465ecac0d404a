"""Where a person stands: expected scores on the standard set with their intervals, from the evidence of the ledger.

The same evidence, population, set and day give the same figures to the last digit; no figure is stored.
"""

from __future__ import annotations

from datetime import datetime
from functools import cache

from django.conf import settings

from scoring.mastery.ability import Answered, Belief, Figures, believe, figures
from scoring.mastery.population import STARTING, StandardSet, read_standard_set
from trainer.library.rules import rules_for
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Evidence
from trainer.progress.tally import day_of


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


def figures_of(person: Person, now: datetime) -> Figures:
    """The figures of a person at a moment, faded by the idle days, with the cut of the rule in force."""
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    return figures(belief_of(person), standard_set(), on_day=day_of(now), cut=rule.cut_points)


__all__ = ["belief_of", "figures_of", "standard_set"]
