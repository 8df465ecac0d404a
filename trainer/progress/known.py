"""What the choice of a day rests on, read for one person: offers with expected credit, skills, requests, weights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count

from scoring.drill import Recipe
from scoring.mastery.ability import Belief, figures
from scoring.mastery.prospect import Prospect, prospect
from scoring.mastery.selection import TARGET_SHARE, SkillState
from trainer.drills.frames import looked_at
from trainer.drills.models import Attempt
from trainer.library.rules import rules_for
from trainer.library.shelf import recipes
from trainer.library.skills import skill_map
from trainer.people.access import firms_of, own, teams_of
from trainer.people.models import Person
from trainer.progress.asked import Asked, asked_of
from trainer.progress.choice import Lack, Offer, Request
from trainer.progress.lacking import lacks_of
from trainer.progress.models import Record
from trainer.progress.standing import belief_of, standard_set
from trainer.progress.tally import day_of
from trainer.progress.typical import typical_cases
from trainer.renders.models import Variation
from trainer.roster.reshoots import drill_weights, skills_of_reshoots


@dataclass(frozen=True, slots=True)
class Known:
    """All that the choice reads."""

    offers: tuple[Offer, ...]
    states: Mapping[str, SkillState]
    requests: tuple[Request, ...]
    weights: Mapping[str, float]
    costly: frozenset[str]
    """Skills that reshoots of the person's own teams go with: what other teams' go with is not told."""
    asked: tuple[Asked, ...]
    lacks: tuple[Lack, ...]
    records: Mapping[str, Record]


def known_of(person: Person, now: datetime) -> Known:
    """Read it for one person on a day."""
    belief, standard, day = belief_of(person), standard_set(), day_of(now)
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    found = figures(belief, standard, on_day=day, cut=rule.cut_points)
    records = {record.skill: record for record in own(Record.objects.all(), person)}
    shelf = recipes()
    practised = {skill for recipe in shelf for skill in recipe.skills}
    states = {
        skill: SkillState(
            figure=figure,
            star=bool(skill_map()[skill]["star"]),
            overdue_share=_overdue(records.get(skill), now),
        )
        for skill, figure in found.skills.items()
        if skill in practised
    }
    asked = tuple(one for one in asked_of(person, now) if one.left)
    return Known(
        offers=_offers(person, shelf, belief, day),
        states=states,
        requests=tuple(Request(one.recipe, one.skill, one.left) for one in asked),
        weights=_weights(person, now),
        costly=skills_of_reshoots(teams_of(person), now.date()),
        asked=asked,
        lacks=tuple(one for one in lacks_of(person, now) if one.skill in states),
        records=records,
    )


def wanted_logit(person: Person, recipe: Recipe, now: datetime) -> float | None:
    """The difficulty of a case of this recipe that fits the person today; None where nothing is known of its skill."""
    belief = belief_of(person)
    known = [skill for skill in recipe.skills if skill in belief.skills]
    if not known:
        return None
    floor = typical_cases([recipe])[recipe.name].guess_floor
    return prospect(belief, on_day=day_of(now)).fitting_logit(known[0], floor, TARGET_SHARE)


def _overdue(record: Record | None, now: datetime) -> float | None:
    spaced = record.spaced if record is not None else None
    return spaced.overdue_share(now) if spaced is not None else None


def _offers(person: Person, shelf: Sequence[Recipe], belief: Belief, day: float) -> tuple[Offer, ...]:
    """The recipes that have a case ready, or all where none has."""
    told, cases = prospect(belief, on_day=day), typical_cases(shelf)
    graded = own(Attempt.objects.filter(answer__isnull=False), person).values("recipe").annotate(n=Count("pk"))
    done = dict(graded.values_list("recipe", "n"))
    stored = set(Variation.objects.values_list("recipe", flat=True).distinct())
    return tuple(
        Offer(
            recipe=recipe.name,
            kind=recipe.kind,
            looked_at=looked_at(recipe.kind),
            skills=recipe.skills,
            look=str(recipe.settings.get("look", "")),
            expected=_expected(told, recipe, *cases[recipe.name]),
            done=done.get(recipe.name, 0),
        )
        for recipe in shelf
        if recipe.name in stored or not stored
    )


def _expected(told: Prospect, recipe: Recipe, difficulty_logit: float, guess_floor: float) -> float:
    known = [skill for skill in recipe.skills if skill in told.eta]
    return told.credit(known[0], difficulty_logit, guess_floor) if known else TARGET_SHARE


def _weights(person: Person, now: datetime) -> dict[str, float]:
    """What reshoots of the person's firm weigh on each skill."""
    out: dict[str, float] = {}
    for firm in firms_of(person):
        for skill, weight in drill_weights(firm, now.date()).items():
            out[skill] = max(weight, out.get(skill, 1.0))
    return out


__all__ = ["Known", "known_of", "wanted_logit"]
