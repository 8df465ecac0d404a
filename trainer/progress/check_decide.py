"""What the answers of a check come to: its figures, and whether its decision is safe.

A check rests on its own answers alone, from the population on: what was practised before decides nothing here, so that
whoever sat beside a check has seen everything that it rests on. Its answers count in the record like any others.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scoring.mastery.ability import Answered, Belief, Figures, believe, figures, weighed
from scoring.mastery.asking import Ask
from scoring.mastery.ending import Ending, ending
from scoring.mastery.population import STARTING
from scoring.mastery.readiness import Rule
from trainer.drills.check_case import answered_cases
from trainer.drills.check_end import CheckFigures
from trainer.drills.models import Attempt, Check
from trainer.library.rules import rule_named
from trainer.library.shelf import recipes
from trainer.library.skills import skill_map
from trainer.progress.standing import standard_set
from trainer.progress.tally import day_of
from trainer.progress.typical import typical_cases


@dataclass(frozen=True, slots=True)
class Decided:
    """Where a check stands."""

    rule: Rule
    belief: Belief
    figures: Figures
    cases: tuple[Attempt, ...]
    """Its answered cases, in their order."""
    outcome: Ending | None
    """How it is over by its figures, in a word of `CheckEnd.Outcome`; None while it goes on."""
    day: float
    """Of its last answer [days since 1970]."""

    @property
    def told(self) -> CheckFigures:
        """The figures as they are stored."""
        found = self.figures.overall
        return CheckFigures(found.score, found.low, found.high, found.chance, len(self.cases))


def decided(check: Check, asks: Iterable[Ask]) -> Decided:
    """What the answers so far come to; ``asks`` is what can be asked, and so which starred skills must be."""
    cases = answered_cases(check)
    rule, standard = rule_named(check.rule), standard_set()
    belief = believe(evidence_of(cases), STARTING, standard.skills)
    day = max((day_of(case.answer.received_at) for case in cases), default=day_of(check.opened_at))
    found = figures(belief, standard, on_day=day, cut=rule.cut_points)
    about = {ask.recipe: {skill for skill in ask.skills if skill in starred()} for ask in asks}
    wanted: set[str] = set().union(*about.values())
    shown: set[str] = set().union(*(about.get(case.recipe, ()) for case in cases))
    outcome = ending(found, rule, len(cases), stars=starred(), wanted=wanted, shown=shown)
    return Decided(rule, belief, found, tuple(cases), outcome, day)


def evidence_of(cases: Iterable[Attempt]) -> list[Answered]:
    """The evidence of graded cases, in their order, so weighed that no case counts twice."""
    return [piece for case in cases for piece in weighed(_pieces(case), STARTING)]


def _pieces(case: Attempt) -> list[Answered]:
    day = day_of(case.answer.received_at)
    return [
        Answered(
            one["skill"], one["credit"], one["difficulty_logit"], one["difficulty_sd"], one["guess_floor"], day
        )
        for one in case.answer.grade.body["evidence"]
    ]  # fmt: skip


def can_be_asked() -> list[Ask]:
    """Every recipe on the shelf that the standard set has a case of, with the guessing floor of its own cases: what is
    easily guessed tells less, and is asked later."""
    numbers = {(case.recipe, case.skill): case for case in standard_set().cases}
    shelf = [recipe for recipe in recipes() if (recipe.name, recipe.skills[0]) in numbers]
    typical = typical_cases(shelf)
    return [
        Ask(
            recipe.name,
            recipe.skills[0],
            numbers[recipe.name, recipe.skills[0]].difficulty_logit,
            typical[recipe.name].guess_floor,
            tuple(recipe.skills),
        )
        for recipe in shelf
    ]


def starred() -> frozenset[str]:
    """Codes of the starred skills."""
    return frozenset(code for code, skill in skill_map().items() if skill["star"])


__all__ = ["Decided", "can_be_asked", "decided", "evidence_of", "starred"]
