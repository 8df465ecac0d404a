"""Simulated operators whose answers come in while they learn, or while they stay the same, before the shipped sums."""

from __future__ import annotations

import numpy as np

from bench.study.shipped import OWN, RECIPES, STANDARD, answer, logistic
from scoring.mastery.ability import Answered, Figure, believe, figures, weighed
from scoring.mastery.population import STARTING, StandardCase, StandardSet

STEPS = 60
FROM, TO = 0.5, 0.9
ONE_SKILL = StandardSet(
    format="levelhead-standard-set",
    version="study",
    title="One case on one skill",
    cases=(StandardCase(recipe="one", skill="A2", difficulty_logit=0.0, guess_floor=0.0, weight=1.0),),
)
Found = tuple[float, float, float]
"""Share of intervals that hold, mean of score less truth, mean width [points]."""


def learner_summary(seed: int, count: int) -> list[tuple[str, Found]]:
    """Each setting with what came of it."""
    rng = np.random.default_rng(seed)
    rise = np.linspace(FROM, TO, STEPS)
    one = [_on_one(rise, rng) for _ in range(count)]
    level = np.hypot(STARTING.overall_sd_logit, STARTING.deviation_sd_logit)
    same = [logistic(STARTING.overall_mean_logit + level * rng.normal()) for _ in range(count)]
    steady = [_on_one(np.full(STEPS, share), rng) for share in same]
    spread = [_spread(rise, rng) for _ in range(count)]
    return [
        ("learner, all drills on one skill", _of(one, [100.0 * TO] * count)),
        ("the same all along, all drills on one skill", _of(steady, [100.0 * share for share in same])),
        ("learner, drills spread over all recipes, overall figure", _of(spread, [100.0 * TO] * count)),
    ]


def _of(rows: list[Figure], truths: list[float]) -> Found:
    held = np.mean([row.low <= truth <= row.high for row, truth in zip(rows, truths, strict=True)])
    gap = np.mean([row.score - truth for row, truth in zip(rows, truths, strict=True)])
    return float(held), float(gap), float(np.mean([row.high - row.low for row in rows]))


def _on_one(shares: np.ndarray, rng: np.random.Generator) -> Figure:
    rows = [Answered("A2", float(rng.random() < share), 0.0, 0.0, 0.0, 0.0) for share in shares]
    belief = believe(rows, STARTING, STANDARD.skills)
    return figures(belief, ONE_SKILL, on_day=0.0, cut=80.0).skills["A2"]


def _spread(shares: np.ndarray, rng: np.random.Generator) -> Figure:
    names, evidence = list(RECIPES), list[Answered]()
    for share in shares:
        ability = dict.fromkeys(STANDARD.skills, float(np.log(share / (1.0 - share))))
        evidence += weighed(answer(RECIPES[names[rng.integers(len(names))]], ability, rng, OWN), STARTING)
    return figures(believe(evidence, STARTING, STANDARD.skills), STANDARD, on_day=0.0, cut=80.0).overall


__all__ = ["FROM", "STEPS", "TO", "Found", "learner_summary"]
