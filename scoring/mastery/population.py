"""What is assumed of people and cases before anybody answers: versioned numbers, to be fitted again from real answers.

logit(p) = overall(person) + deviation(person, skill) - difficulty(case)
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter
from pydantic.dataclasses import dataclass

from scoring.border import read_value
from scoring.drill import SkillCode
from scoring.standard import BORDER, SLUG_PATTERN, Share, Slug, Words

Logit = Annotated[float, Field(ge=-8.0, le=8.0, allow_inf_nan=False)]
Spread = Annotated[float, Field(gt=0.0, le=5.0, allow_inf_nan=False)]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Population:
    """The people of whom a person is taken to be one.

    Its numbers are starting values: guesses until some forty people have a hundred answers each. The half-life is
    that of an accuracy-type gain after some 6.5 idle months (Tatel and Ackerman, Psychol. Bull., abstract); it comes
    from procedural tasks and has to be fitted again after a season.
    """

    version: str
    overall_mean_logit: Logit
    overall_sd_logit: Spread
    deviation_sd_logit: Spread
    """How much a person's skills differ among themselves."""
    novice_logit: Logit
    """Where a skill goes when it is not used."""
    novice_sd_logit: Spread
    half_life_days: Annotated[float, Field(gt=0.0, le=10000.0)]
    """Half of the gain over a novice is gone after so many idle days."""
    evidence_half_life: Annotated[float, Field(gt=0.0, le=1000.0)]
    """An answer counts half when so many later ones on the same skill are there."""
    repeated_share: Share
    """How much the pieces of one case repeat one another: 0 nothing, 1 each says the same.

    Chosen by simulation, so that the 90 % interval holds nine times of ten (tests/scoring/mastery/test_holds.py).
    """
    ahead_difficulty_sd: Spread
    """How much cases still to come differ in difficulty from those of the standard set [logit] ..."""
    ahead_floor: Share
    """... and what is earned on them by guessing ..."""
    ahead_cases_a_day: Annotated[int, Field(ge=1, le=100)]
    """... of which so many are done on a day with practice ..."""
    ahead_days_between: Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)]
    """... and so many days pass from one such day to the next. The four are common practice, no source."""
    ahead_settled_share: Share
    """In this share of such futures a number of cases that is told has to be enough. A number is told where enough of
    them happen to be, so of people it holds for somewhat fewer: four of five (tests/scoring/mastery/test_ahead.py)."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class StandardCase:
    """One recipe of the standard set, as it is expected to be for people."""

    recipe: Slug
    skill: SkillCode
    difficulty_logit: Logit
    guess_floor: Share
    weight: Annotated[float, Field(gt=0.0, le=1000.0)]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class StandardSet:
    """The list of cases on which everybody's expected score is told, 0..100."""

    format: Literal["levelhead-standard-set"]
    version: Annotated[str, Field(pattern=SLUG_PATTERN)]
    title: Words
    cases: Annotated[tuple[StandardCase, ...], Field(min_length=1, max_length=400)]

    @property
    def skills(self) -> tuple[str, ...]:
        """Its skills, in the order in which they come first."""
        return tuple(dict.fromkeys(case.skill for case in self.cases))


_SET = TypeAdapter(StandardSet)


def read_standard_set(data: bytes) -> StandardSet:
    """The standard set in a file of scenarios/rounds. Raises FileProblems."""
    return read_value(_SET, data)


STARTING = Population(
    version="start-5",
    overall_mean_logit=1.0,
    overall_sd_logit=1.0,
    deviation_sd_logit=0.7,
    novice_logit=0.0,
    novice_sd_logit=0.7,
    half_life_days=195.0,
    evidence_half_life=6.0,
    repeated_share=0.5,
    ahead_difficulty_sd=0.6,
    ahead_floor=0.3,
    ahead_cases_a_day=6,
    ahead_days_between=3.0,
    ahead_settled_share=0.84,
)
"""Starting values; every one is a setting."""

__all__ = ["STARTING", "Logit", "Population", "Spread", "StandardCase", "StandardSet", "read_standard_set"]
