"""Simulated operators before the shipped check: its recipes, its choice of what to ask, its sums and its end.

Cases are drawn from the recipes as they are, and a case's difficulty is known to 0.6 logit. Of most kinds one outcome
speaks of every skill of a case; of some each skill has its own. People are those that are believed in (`STARTING`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from scoring.mastery.ability import Answered, Figures, believe, figures, overall_chance, weighed
from scoring.mastery.asking import Ask, to_ask
from scoring.mastery.ending import ending
from scoring.mastery.population import STARTING, Population, read_standard_set
from scoring.mastery.readiness import Rule

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
STANDARD = read_standard_set((SCENARIOS / "rounds" / "set-1.json").read_bytes())
RECIPES: dict[str, dict[str, Any]] = {
    path.stem: json.loads(path.read_bytes()) for path in sorted((SCENARIOS / "drills").glob("*.json"))
}
STARS = frozenset(one["code"] for one in json.loads((SCENARIOS / "skills.json").read_bytes())["skills"] if one["star"])
OWN = frozenset({"place", "join", "thin", "change"})
"""Kinds of which some marks speak of one skill alone."""
GUESSED = {"verdict": 0.6, "cue": 0.3, "cause": 0.25, "pair": 0.5, "heading": 0.3}
DIFFICULTY_SD = 0.6
RULE = Rule(version="rule-1")


@dataclass(frozen=True, slots=True)
class Checked:
    """One simulated operator after the check."""

    truth: float
    """Expected score on the standard set, 0..100."""
    found: Figures
    outcome: str
    cases: int


def logistic(logit: float) -> float:
    """The logistic curve."""
    return float(1.0 / (1.0 + np.exp(-logit)))


def someone(rng: np.random.Generator, population: Population = STARTING) -> dict[str, float]:
    """The ability on each skill of one simulated operator [logit]."""
    level = population.overall_mean_logit + population.overall_sd_logit * rng.normal()
    return {skill: level + population.deviation_sd_logit * rng.normal() for skill in STANDARD.skills}


def true_score(ability: Mapping[str, float]) -> float:
    """What somebody is expected to score on the standard set, 0..100."""
    whole = sum(case.weight for case in STANDARD.cases)
    got = sum(case.weight * logistic(ability[case.skill] - case.difficulty_logit) for case in STANDARD.cases)
    return 100.0 * got / whole


def _floor(recipe: Mapping[str, Any]) -> float:
    return GUESSED.get(recipe["kind"], 0.3)


def answer(
    recipe: Mapping[str, Any], ability: Mapping[str, float], rng: np.random.Generator, own: frozenset[str] = OWN
) -> list[Answered]:
    """What one simulated answer says of each skill of its case."""
    floor = _floor(recipe)
    skills: Sequence[str] = recipe["skills"]
    difficulty = DIFFICULTY_SD * rng.normal()

    def outcome(logit: float) -> float:
        return float(rng.random() < floor + (1.0 - floor) * logistic(logit - difficulty))

    if recipe["kind"] in own:
        credits = [outcome(ability[skill]) for skill in skills]
    else:
        credits = [outcome(float(np.mean([ability[skill] for skill in skills])))] * len(skills)
    return [
        Answered(skill, credit, 0.0, DIFFICULTY_SD, floor, 0.0) for skill, credit in zip(skills, credits, strict=True)
    ]


def asks() -> list[Ask]:
    """Every recipe that the standard set has a case of, with the guessing floor of its cases."""
    numbers = {(case.recipe, case.skill): case for case in STANDARD.cases}
    return [
        Ask(name, recipe["skills"][0], case.difficulty_logit, _floor(recipe), tuple(recipe["skills"]))
        for name, recipe in RECIPES.items()
        if (case := numbers.get((name, recipe["skills"][0]))) is not None
    ]


def checked(rng: np.random.Generator) -> Checked:
    """One operator goes through the check."""
    ability, choices = someone(rng), asks()
    wanted = {skill for ask in choices for skill in ask.skills if skill in STARS}
    evidence: list[Answered] = []
    asked: list[str] = []
    while True:
        belief = believe(evidence, STARTING, STANDARD.skills)
        at = {"on_day": 0.0, "cut": RULE.cut_points}
        if len(asked) >= RULE.check_least:
            chance = overall_chance(belief, STANDARD, **at)
            # The intervals take most of the time and are needed only where the check may end.
            if not RULE.not_ready_chance < chance < RULE.ready_chance or len(asked) >= RULE.check_most:
                found = figures(belief, STANDARD, **at)
                shown = {skill for name in asked for skill in RECIPES[name]["skills"] if skill in STARS}
                over = ending(found, RULE, len(asked), stars=STARS, wanted=wanted, shown=shown)
                if over is not None:
                    return Checked(true_score(ability), found, over, len(asked))
        order = {ask.recipe: float(rng.random()) for ask in choices}
        name = to_ask(belief, STANDARD, choices, stars=STARS, asked=asked, order=order, **at)[0].recipe
        asked.append(name)
        evidence += weighed(answer(RECIPES[name], ability, rng), STARTING)


def some_checked(seed: int, count: int) -> list[Checked]:
    """So many operators, each through a check."""
    rng = np.random.default_rng(seed)
    return [checked(rng) for _ in range(count)]


def check_summary(rows: Sequence[Checked]) -> dict[str, float]:
    """The figures of some checks, as the report shows them."""
    truth = np.array([row.truth for row in rows])
    chance = np.array([row.found.overall.chance for row in rows])
    ready, clear = truth >= RULE.cut_points, np.abs(truth - RULE.cut_points) > 5.0
    right = (chance >= 0.5) == ready
    said = np.array([row.outcome == "ready" for row in rows])
    held = [row.found.overall.low <= row.truth <= row.found.overall.high for row in rows]
    return {
        "cases": float(np.mean([row.cases for row in rows])),
        "right": float(right.mean()),
        "clear": float(right[clear].mean()),
        "holds": float(np.mean(held)),
        "bias": float(chance.mean() - ready.mean()),
        "decided": float(np.mean([row.outcome != "cannot be said" for row in rows])),
        "false ready": float((~ready[said]).mean()) if said.any() else 0.0,
    }


__all__ = [
    "OWN",
    "RECIPES",
    "STANDARD",
    "Checked",
    "answer",
    "asks",
    "check_summary",
    "checked",
    "logistic",
    "some_checked",
    "someone",
    "true_score",
]
