"""The pool: cases out of the stock with answers that the engine graded, good ones and weak ones of each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from random import Random
from typing import Any

from scoring.drill import AnswerError, Task
from scoring.standard import Standard
from trainer.drills.ledger import grade_json, judge_task
from trainer.library.shelf import basis, recipes, standard_at
from trainer.progress.demo.guesses import MOST, Body, guesses
from trainer.renders.models import Variation
from trainer.renders.stock import task_of

CASES_EACH = 2
"""Cases of one recipe in the pool."""
GOOD_FROM = 0.95


@dataclass(frozen=True, slots=True)
class Graded:
    """One answer with its grade as the ledger keeps it."""

    body: Body
    credit: float
    verdict: str
    grade: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Case:
    """One case with answers of both sorts."""

    task: Task
    kit: str
    standard_address: str
    good: tuple[Graded, ...]
    weak: tuple[Graded, ...]

    @property
    def skills(self) -> tuple[str, ...]:
        """What it gives evidence on."""
        return tuple(piece["skill"] for piece in self.good[0].grade["evidence"])


def stocked_share() -> float:
    """The share of the recipes of which a case is in stock, 0..1."""
    every = [basis(recipe.name).address for recipe in recipes()]
    there = set(Variation.objects.filter(address__in=every).values_list("address", flat=True).distinct())
    return len(there) / len(every) if every else 0.0


def pool(rng: Random) -> list[Case]:
    """Cases of every recipe that has some in stock; one whose answers are all good, or all weak, is left out."""
    found = []
    for recipe in recipes():
        made_of = basis(recipe.name)
        standard = standard_at(made_of.standard_address)
        for variation in Variation.objects.filter(address=made_of.address).order_by("pk")[:CASES_EACH]:
            task = task_of(variation)
            graded = list(_graded(task, standard, rng))
            good = tuple(one for one in graded if one.credit >= GOOD_FROM and one.verdict == "holds")
            weak = tuple(one for one in graded if one.credit < GOOD_FROM)
            if good and weak:
                found.append(Case(task, variation.kit, made_of.standard_address, good, weak))
    return found


def _graded(task: Task, standard: Standard, rng: Random) -> Iterable[Graded]:
    bodies = guesses(task, rng)
    kept: list[Graded] = []
    while bodies:
        body = bodies.pop(0)
        try:
            grade = judge_task(task, body, standard)
        except AnswerError:
            continue
        if task.kind == "cue" and not kept:
            bodies += [{"spots": [_mark(spot)]} for spot in grade.spots[:4]]
        kept.append(Graded(body, grade.credit, grade.verdict, grade_json(grade)))
    return _few(kept)


def _mark(spot: Any) -> dict[str, float]:
    return {"azimuth_deg": spot.azimuth_deg, "elevation_deg": spot.elevation_deg}


def _few(graded: list[Graded]) -> list[Graded]:
    """At most so many, the best of them and the rest spread over the credits."""
    ordered = sorted(graded, key=lambda one: -one.credit)
    if len(ordered) <= MOST:
        return ordered
    good = [one for one in ordered if one.credit >= GOOD_FROM][:3]
    rest = [one for one in ordered if one.credit < GOOD_FROM]
    step = max(1, len(rest) // (MOST - len(good)))
    return [*good, *rest[::step][: MOST - len(good)]]


__all__ = ["Case", "Graded", "pool", "stocked_share"]
