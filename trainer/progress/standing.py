"""Where a person stands: expected scores on the standard set with their intervals, from the evidence of the ledger.

The same evidence, population, set and day give the same figures to the last digit; no figure is stored.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import groupby
from operator import itemgetter

from django.conf import settings
from django.db.models import QuerySet

from scoring.mastery.ability import Answered, Belief, Figures, believe, figures, weighed
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


@dataclass(frozen=True, slots=True)
class Case:
    """One graded case as the ability model reads it."""

    entry: int
    at: datetime
    pieces: tuple[Answered, ...]
    """What it says of each of its skills, so weighed that nothing counts twice."""


def cases_of(rows: QuerySet[Evidence]) -> Iterator[Case]:
    """The cases of one person's evidence, in the order of the ledger."""
    fields = ("entry", "at", "skill", "credit", "difficulty_logit", "difficulty_sd", "guess_floor")
    told = rows.order_by("entry", "skill").values_list(*fields).iterator(chunk_size=2000)
    for (entry, at), pieces in groupby(told, key=itemgetter(0, 1)):
        day = day_of(at)
        read = [Answered(skill, credit, logit, sd, floor, day) for _, _, skill, credit, logit, sd, floor in pieces]
        yield Case(entry, at, weighed(read, STARTING))


def belief_of(person: Person) -> Belief:
    """All that a person's evidence says, in the order of the ledger."""
    cases = cases_of(own(Evidence.objects.all(), person))
    return believe((one for case in cases for one in case.pieces), STARTING, standard_set().skills)


def figures_of(person: Person, now: datetime) -> Figures:
    """The figures of a person at a moment, faded by the idle days, with the cut of the rule in force."""
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    return figures(belief_of(person), standard_set(), on_day=day_of(now), cut=rule.cut_points)


__all__ = ["Case", "belief_of", "cases_of", "figures_of", "standard_set"]
