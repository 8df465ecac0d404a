"""Keep or redo in words: whether a person sees faults, and which way they lean when in doubt."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count

from scoring.mastery.detection import Detection
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Judgement

LEAST_OF_EACH = 20
"""Nothing is said before each kind of frame was judged so often; a setting."""
CLEAR_FROM, HARDLY_BELOW = 2.0, 1.0
"""d' from which faults are seen clearly, and below which they are hardly told from good frames. Settings, no source."""
LEAN_FROM = 0.3
"""The criterion from which somebody leans to one side. A setting, no source."""


@dataclass(frozen=True, slots=True)
class Seeing:
    """What the verdicts on frames say of one person."""

    found: Detection
    enough: bool
    """Whether there are enough frames of each kind to say more than the counts."""
    sees: str
    """How well faulty frames are told from good ones, as a sentence; empty before there are enough."""
    leans: str
    """Too strict, too lenient, or neither, as a sentence; empty before there are enough."""


def seeing_of(person: Person) -> Seeing:
    """All graded verdicts of a person, in words."""
    counts = dict.fromkeys([(faulty, redone) for faulty in (True, False) for redone in (True, False)], 0)
    rows = own(Judgement.objects.all(), person).values_list("faulty", "redone").annotate(n=Count("pk"))
    for faulty, redone, count in rows:
        counts[faulty, redone] = count
    found = Detection(
        hits=counts[True, True], misses=counts[True, False], false_alarms=counts[False, True],
        rightly_kept=counts[False, False],
    )  # fmt: skip
    if not found.known(LEAST_OF_EACH):
        return Seeing(found, False, "", "")
    return Seeing(found, True, _sees(found.sensitivity), _leans(found.criterion))


def _sees(sensitivity: float) -> str:
    if sensitivity >= CLEAR_FROM:
        return "Sees faults clearly."
    return "Sees many faults, not all." if sensitivity >= HARDLY_BELOW else "Faulty and good frames still look alike."


def _leans(criterion: float) -> str:
    if criterion >= LEAN_FROM:
        return "Too lenient: when in doubt, lets faulty frames pass."
    return (
        "Too strict: when in doubt, redoes good frames." if criterion <= -LEAN_FROM else "Neither strict nor lenient."
    )


__all__ = ["LEAST_OF_EACH", "Seeing", "seeing_of"]
