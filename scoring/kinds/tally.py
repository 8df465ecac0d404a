"""Adding marks up to a grade: credit, verdict, and what each skill may learn from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from scoring.drill import Evidence, Grade, Mark, Shape, Spot, Task

LOOK_AGAIN_BELOW = 0.995
"""A sound answer with less credit than this is worth a second look."""
DIGITS = 9

Criteria = Mapping[str, frozenset[str]]
"""For each skill the criteria that speak of it; a skill that is not named takes them all."""
NONE: frozenset[str] = frozenset()


def tally(
    task: Task,
    marks: Iterable[Mark],
    *,
    sound: bool,
    summary: str,
    shapes: Sequence[Shape],
    criteria: Criteria,
    spots: Sequence[Spot] = (),
    must: frozenset[str] = NONE,
) -> Grade:
    """The grade of some marks. ``sound`` says whether everything that must hold does.

    Weights are brought to a sum of 1; marks of weight 0 only tell. A skill named in ``criteria`` has nothing when one
    of its marks of the criteria ``must`` earned nothing.
    """
    kept = _weighed(_distinct(list(marks)))
    credit = min(1.0, max(0.0, round(sum(mark.credit * mark.weight for mark in kept), DIGITS)))
    verdict: Literal["holds", "look-again", "fails"] = "fails"
    if sound:
        verdict = "holds" if credit >= LOOK_AGAIN_BELOW else "look-again"
    return Grade(
        credit=credit,
        verdict=verdict,
        summary=summary,
        marks=kept,
        evidence=tuple(_evidence(task, skill, kept, criteria, must, credit) for skill in task.key["skills"]),
        shapes=tuple(shapes),
        spots=tuple(spots),
    )


def _evidence(
    task: Task, skill: str, marks: Sequence[Mark], criteria: Criteria, must: frozenset[str], credit: float
) -> Evidence:
    about = criteria.get(skill)
    chosen = [mark for mark in marks if mark.weight > 0.0 and (about is None or mark.criterion in about)]
    weight = sum(mark.weight for mark in chosen)
    share = round(sum(mark.credit * mark.weight for mark in chosen) / weight, DIGITS) if weight > 0.0 else credit
    if about is not None and any(mark.criterion in must and mark.credit <= 0.0 for mark in chosen):
        share = 0.0
    return Evidence(
        skill=skill,
        credit=share,
        difficulty_logit=task.difficulty_logit,
        difficulty_sd=task.difficulty_sd,
        guess_floor=task.key["guess"].get(skill, task.guess_floor),
    )


def _weighed(marks: Sequence[Mark]) -> tuple[Mark, ...]:
    total = sum(mark.weight for mark in marks)
    if total <= 0.0:
        return tuple(marks)
    return tuple(
        replace(mark, credit=round(mark.credit, DIGITS), weight=round(mark.weight / total, DIGITS)) for mark in marks
    )


def _distinct(marks: list[Mark]) -> list[Mark]:
    """No two marks of a grade say the same sentence: a repeat says which criterion it is about."""
    seen: Counter[str] = Counter()
    kept = []
    for mark in marks:
        seen[mark.words] += 1
        if seen[mark.words] > 1:
            mark = replace(mark, words=f"{mark.title}: {mark.words} ({seen[mark.words]})")
        kept.append(mark)
    return kept


__all__ = ["Criteria", "tally"]
