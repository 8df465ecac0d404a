"""What the invented people are like: how able on each skill, when at it, how that grows and fades.

symbol       meaning                                        unit
level        overall ability once learned                   logit
apart[skill] how a skill differs from it                    logit
learned      share of the way from novice to level          0..1, 1 - exp(-answers / LEARNING)
kept         share of the gain left after idle days         2^(-idle / half-life)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random
from typing import Literal

from scoring.mastery.population import STARTING

LEARNING = 14.0
"""Answers after which about two thirds are learned."""
LEVEL_MEAN, LEVEL_SD, APART_SD = 2.5, 0.9, 0.6
YEAR_DAYS = 365
QUIET_MONTHS = (11, 12, 1)
"""Little is shot and little practised then: the season rises from February on (trade figures of sales)."""
ENDS_DAYS_AGO = 2
Sort = Literal["steady", "new", "untried", "away", "gone quiet"]
SORTS: tuple[tuple[Sort, int], ...] = (("steady", 33), ("new", 9), ("untried", 3), ("away", 7), ("gone quiet", 8))
"""Of sixty operators."""


@dataclass(slots=True)
class Life:
    """One invented operator."""

    sort: Sort
    level: float
    apart: dict[str, float]
    days: tuple[datetime, ...]
    """Mornings of the days on which cases are done."""
    cases: int
    """On each of these days."""
    answers: int = 0
    last: dict[str, datetime] = field(default_factory=dict)
    """When each skill was practised last."""

    def ability(self, skills: Sequence[str], at: datetime) -> float:
        """Mean ability on some skills at a moment [logit]."""
        return sum(self._one(skill, at) for skill in skills) / len(skills)

    def _one(self, skill: str, at: datetime) -> float:
        learned = 1.0 - math.exp(-(self.answers + 4) / LEARNING)
        novice = STARTING.novice_logit
        now = novice + (self.level + self.apart.get(skill, 0.0) - novice) * learned
        idle = (at - self.last.get(skill, at)).days
        return float(novice + (now - novice) * 2.0 ** (-idle / STARTING.half_life_days))

    def practised(self, skills: Sequence[str], at: datetime) -> None:
        """One more answer."""
        self.answers += 1
        self.last.update(dict.fromkeys(skills, at))


def lives(count: int, skills: Sequence[str], rng: Random, now: datetime) -> list[Life]:
    """So many lives of all sorts, in an order drawn by chance."""
    sorts = [sort for sort, of_sixty in SORTS for _ in range(round(of_sixty * count / 60))]
    sorts = (sorts + ["steady"] * count)[:count]
    rng.shuffle(sorts)
    return [_life(sort, skills, rng, now) for sort in sorts]


def _life(sort: Sort, skills: Sequence[str], rng: Random, now: datetime) -> Life:
    level = rng.gauss(LEVEL_MEAN, LEVEL_SD)
    apart = {skill: rng.gauss(0.0, APART_SD) for skill in skills}
    first, last = {
        "steady": (YEAR_DAYS - rng.randrange(120), ENDS_DAYS_AGO),
        "new": (rng.randrange(8, 40), ENDS_DAYS_AGO),
        "untried": (0, 1),
        "away": (YEAR_DAYS - rng.randrange(60), rng.randrange(185, 230)),
        "gone quiet": (YEAR_DAYS - rng.randrange(90), rng.randrange(50, 110)),
    }[sort]
    wanted = {"steady": 13, "new": 3, "untried": 0, "away": 12, "gone quiet": 12}[sort]
    days = _days(first, last, wanted + rng.randrange(3) if wanted else 0, rng, now)
    return Life(sort, level, apart, days, rng.randrange(4, 7))


def _days(first: int, last: int, wanted: int, rng: Random, now: datetime) -> tuple[datetime, ...]:
    """Days between so many days ago, fewer in the quiet months, one always near the end."""
    morning = now.replace(hour=7, minute=30, second=0, microsecond=0)
    ago = list(range(last, max(first, last + 1)))
    weights = [0.25 if (morning - timedelta(days=one)).month in QUIET_MONTHS else 1.0 for one in ago]
    drawn = {last} if wanted else set()
    while len(drawn) < min(wanted, len(ago)):
        drawn.add(rng.choices(ago, weights)[0])
    return tuple(morning - timedelta(days=one) for one in sorted(drawn, reverse=True))


__all__ = ["Life", "Sort", "lives"]
