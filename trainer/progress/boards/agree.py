"""Agreement between trainers: where two of them watched the same person within so many days."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from itertools import combinations

from django.db.models import QuerySet

from scoring.mastery.agreement import Agreement, agreement
from trainer.library.skills import skill_name
from trainer.people.access import Visitor, entered_for
from trainer.people.models import Person
from trainer.roster.models import ObservedShoot

WITHIN = timedelta(days=45)
"""Farther apart, the person may have changed in between."""
YES, NO = ObservedShoot.Seen.DONE, ObservedShoot.Seen.NOT_DONE


@dataclass(frozen=True, slots=True)
class Between:
    """All pairs of shoots together, by signature and by skill."""

    people: int
    """Watched by two trainers."""
    signed: Agreement
    skills: Agreement
    each: tuple[tuple[str, Agreement], ...]
    """By skill, where both saw it; least agreement first."""
    within_days: int = WITHIN.days


def agreed_on(people: QuerySet[Person], visitor: Visitor) -> Between:
    """Agreement over the shoots of these people that stand, entered for firms that the visitor leads."""
    by_person: dict[object, list[ObservedShoot]] = {}
    rows = entered_for(ObservedShoot.objects.filter(person__in=people, struck__isnull=True), visitor)
    for shoot in rows.order_by("shot_on", "made_at"):
        by_person.setdefault(shoot.person_id, []).append(shoot)
    pairs = {person: list(_pairs(shoots)) for person, shoots in by_person.items()}
    both = [pair for found in pairs.values() for pair in found]
    each: dict[str, list[tuple[bool, bool]]] = {}
    for first, second in both:
        for code, seen in first.seen.items():
            other = second.seen.get(code)
            if {seen, other} <= {YES, NO}:
                each.setdefault(code, []).append((seen == YES, other == YES))
    by_skill = [(skill_name(code), agreement(said)) for code, said in sorted(each.items())]
    return Between(
        people=sum(bool(found) for found in pairs.values()),
        signed=agreement([(first.signed, second.signed) for first, second in both]),
        skills=agreement([pair for said in each.values() for pair in said]),
        each=tuple(sorted(by_skill, key=lambda row: (row[1].share, -row[1].pairs))),
    )


def _pairs(shoots: list[ObservedShoot]) -> Iterable[tuple[ObservedShoot, ObservedShoot]]:
    """Shoots of one person by two different trainers, near in time; each shoot in one pair at most."""
    taken: set[object] = set()
    for first, second in combinations(shoots, 2):
        different = first.by_id is not None and second.by_id is not None and first.by_id != second.by_id
        near = abs(second.shot_on - first.shot_on) <= WITHIN
        if different and near and not {first.pk, second.pk} & taken:
            taken |= {first.pk, second.pk}
            yield first, second


__all__ = ["Between", "agreed_on"]
