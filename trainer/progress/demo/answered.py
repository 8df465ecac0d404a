"""What the invented people answered, as rows of the ledger in the order of their moments."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from scoring import ENGINE_VERSION
from trainer.drills.ledger import enter_many
from trainer.drills.models import Answer, Attempt, Entry, Grade
from trainer.people.models import Person
from trainer.progress.demo.lives import Life
from trainer.progress.demo.pool import Case, Graded

SCARCE = {"A2": 8.0, "B3": 9.0, "G1": 3.0, "E1": 4.0, "B1": 4.0, "V1": 2.0}
"""Skills that few recipes practise come up more often, as today's set sees to it for anybody."""
CAREFUL_LOGIT = 1.8
"""With safety people are more careful than with anything else."""
CHUNK = 200


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer that was given."""

    person: Person
    case: Case
    graded: Graded
    sureness: int
    at: datetime
    took: timedelta


def answered(people: Sequence[tuple[Person, Life]], cases: Sequence[Case], rng: Random) -> list[Answered]:
    """Everything that everybody answered, oldest first."""
    weights = [max(SCARCE.get(skill, 1.0) for skill in case.skills) for case in cases]
    out: list[Answered] = []
    for person, life in people:
        for morning in life.days:
            at = morning + timedelta(minutes=rng.randrange(600))
            for case in _some(cases, weights, life.cases, rng):
                took = timedelta(seconds=rng.uniform(25, 140))
                at += took + timedelta(seconds=rng.uniform(15, 60))
                out.append(_one(person, life, case, rng, at, took))
    return sorted(out, key=lambda one: (one.at, str(one.person.pk)))


def _some(cases: Sequence[Case], weights: Sequence[float], count: int, rng: Random) -> Iterable[Case]:
    drawn: list[int] = []
    while len(drawn) < min(count, len(cases)):
        index = rng.choices(range(len(cases)), weights)[0]
        if index not in drawn:
            drawn.append(index)
    return (cases[index] for index in drawn)


def _one(person: Person, life: Life, case: Case, rng: Random, at: datetime, took: timedelta) -> Answered:
    logit = life.ability(case.skills, at) - case.task.difficulty_logit + CAREFUL_LOGIT * ("G1" in case.skills)
    floor = case.task.guess_floor
    chance = floor + (1.0 - floor) / (1.0 + math.exp(-logit))
    right = rng.random() < chance
    graded = rng.choice(case.good if right else case.weak)
    life.practised(case.skills, at)
    # Who is able is surer, and who is right a little surer still; never quite calibrated.
    sure = rng.random() < 0.25 + 0.4 * chance + 0.1 * right
    return Answered(person, case, graded, 3 if sure else 2 if rng.random() < 0.7 else 1, at, took)


def store(rows: Sequence[Answered], rng: Random) -> int:
    """Append them to the ledger; returns how many there were."""
    for begin in range(0, len(rows), CHUNK):
        _store(rows[begin : begin + CHUNK], rng)
    return len(rows)


def _store(rows: Sequence[Answered], rng: Random) -> None:
    attempts = [
        Attempt(
            id=uuid.UUID(int=rng.getrandbits(128), version=4), person=row.person, mode=Attempt.Mode.DRILL,
            kind=row.case.task.kind, recipe=row.case.task.recipe, recipe_hash=row.case.task.recipe_hash,
            kit=row.case.kit, seed=row.case.task.seed, engine=row.case.task.engine, standard=row.case.task.standard,
            standard_address=row.case.standard_address, public=row.case.task.public, key=row.case.task.key,
            difficulty_logit=row.case.task.difficulty_logit, difficulty_sd=row.case.task.difficulty_sd,
            guess_floor=row.case.task.guess_floor, fingerprint=row.case.task.fingerprint,
            issued_at=row.at - row.took,
        )
        for row in rows
    ]  # fmt: skip
    Attempt.objects.bulk_create(attempts)
    answers = Answer.objects.bulk_create(
        Answer(
            attempt=attempt, client_key=uuid.UUID(int=rng.getrandbits(128), version=4), body=row.graded.body,
            sureness=row.sureness, answered_at=row.at, received_at=row.at,
        )
        for attempt, row in zip(attempts, rows, strict=True)
    )  # fmt: skip
    Grade.objects.bulk_create(
        Grade(
            answer=answer, credit=row.graded.credit, verdict=row.graded.verdict, body=row.graded.grade,
            engine=ENGINE_VERSION, standard=row.case.task.standard, made_at=row.at,
        )
        for answer, row in zip(answers, rows, strict=True)
    )  # fmt: skip
    enter_many(Entry(what=Entry.What.GRADE, attempt=a, made_at=row.at) for a, row in zip(attempts, rows, strict=True))


__all__ = ["Answered", "answered", "store"]
