"""Verdict: look round a frame and keep it or redo it, as one does on site.

    criterion  weight  what earns it
    verdict    1.00    what the measured numbers deserve under the house standard

A frame whose numbers lie in a band where both are right is never a case. About six in ten are good, and people are
told so: a needless redo costs too.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Mark, Recipe, Task
from scoring.floor.plan import Plan
from scoring.frame.faults import FaultCode
from scoring.frame.severity import Severity
from scoring.kinds.answers import choice, fields
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.frame_case import FAULT_CODES, look
from scoring.kinds.frame_grade import fix_mark, unlike_marks, verdict_of
from scoring.kinds.frame_key import Known, known_of, number_marks
from scoring.kinds.frame_signs import shown_spots, sign_marks
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.frame_words import Facts, found, lies_with
from scoring.kinds.good_share import until_fair
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.rig.kit import Kit
from scoring.standard import Share, Slug, Standard

NAME: KindName = "verdict"
TITLE = "Keep or redo"
SKILLS = ("V1", "V3")

VERDICTS = {"keep": "Keep it: nothing that matters", "redo": "Redo it, here and now"}


@declared
class Settings:
    """What a recipe of this kind may set."""

    faults: Annotated[tuple[FaultCode, ...], Field(min_length=1)] = FAULT_CODES
    """Codes of the faults that may be in a frame."""
    good: Share = 0.6
    """Share of frames with nothing that matters."""
    clock_s: Annotated[int, Field(ge=0, le=600)] = 30
    """Of the clock that a person may run; it ends nothing."""
    spaces: tuple[Slug, ...] = ()
    """Rooms to shoot in, by id; all that are large enough when none is named."""
    vary: bool = False
    """Whether the place itself is varied by the seed; light is then solved anew for each case."""


def check_settings(recipe: Recipe, plan: Plan) -> list[Problem]:
    """What a recipe names of the plan that is not there."""
    return unknown_spaces(recipe, plan)


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A frame that deserves one verdict. Raises Unfit when the numbers lie where both verdicts are right."""
    asked_for = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    seen = until_fair(
        f"verdict/{seed}",
        asked_for.faults,
        asked_for.good,
        lambda rng, code: look(place, rng, code, spaces=asked_for.spaces),
    )
    task = build_frames(
        source,
        {"frame": seen},
        asks={
            "choices": [{"name": "verdict", "legend": "Keep it or redo it?", "options": list(VERDICTS.items())}],
            "clock_s": asked_for.clock_s,
        },
        shown=[("frame", "The frame")],
        key={},
    )
    # The best blind strategy says "keep" always; what it earns is the share of good frames among cases like this one.
    return with_floor(task, max(asked_for.good, 1.0 - asked_for.good))


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade a verdict. Raises AnswerError."""
    read = fields(answer, {"verdict"}, {"verdict"})
    said = choice(read["verdict"], "verdict", tuple(VERDICTS))
    known = known_of(task)
    severity, facts = known.severity(standard), known.facts(standard)
    mark = _verdict_mark(known, severity, facts, said)
    marks = [
        mark, *sign_marks(known, facts, standard), fix_mark(known, facts), *unlike_marks(known, facts),
        *number_marks(severity, facts, known.spots),
    ]  # fmt: skip
    return tally(
        task, marks, sound=mark.credit >= 1.0, summary=found(known.choice, facts), shapes=(), criteria={},
        spots=shown_spots(known, facts),
    )  # fmt: skip


def _verdict_mark(known: Known, severity: Severity, facts: Facts, said: str) -> Mark:
    right = verdict_of(severity)
    if right == "redo":
        words = f"Redo begins at {facts.limit}; {facts.within}, from {facts.spot}, there is {facts.told}."
        mend = "" if said == right else f"Do not leave {facts.room} with {facts.told}{facts.here}."
    else:
        words = lies_with(known.choice, facts)
        mend = "" if said == right else f"Keep it: {facts.within} at {facts.spot} the worst is {facts.told}."
    return Mark(
        criterion="verdict",
        title="Keep or redo",
        credit=float(severity.accepts(said)),  # type: ignore[arg-type]
        weight=1.0,
        value=None,
        limit=None,
        unit="",
        words=words,
        mend=mend,
        spots=known.spots,
    )


__all__ = ["NAME", "SKILLS", "TITLE", "grade", "make"]
