"""Pair: which of two look-alikes it is, and what tells so.

criterion  weight  what earns it
cause      0.80    the cause
cue        0.20    what decides between the two
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Annotated

from pydantic import AfterValidator, Field

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Recipe, Task
from scoring.floor.plan import Plan
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import CAUSES, PAIRS
from scoring.kinds.frame_case import look
from scoring.kinds.frame_grade import asked, cues_for, grade_cause
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.rig.kit import Kit
from scoring.standard import Slug, Standard


def _named(text: str) -> str:
    first, _, second = text.partition("-")
    if first not in CAUSES or second not in CAUSES or first == second:
        raise ValueError(f"{text!r} is not two causes, like 'F1-F2'")
    return text


NAME: KindName = "pair"
TITLE = "One of two look-alikes"
SKILLS = ("V3",)

WEIGHTS = {"cause": 0.80, "cue": 0.20}
BLIND = 0.5


@declared
class Settings:
    """What a recipe of this kind may set."""

    pairs: Annotated[tuple[Annotated[str, AfterValidator(_named)], ...], Field(min_length=1)] = tuple(
        "-".join(pair) for pair in PAIRS
    )
    """Pairs of codes, like "F1-F2"; all that are confused when left out."""
    spaces: tuple[Slug, ...] = ()
    """Rooms to shoot in, by id; all that are large enough when none is named."""
    vary: bool = False
    """Whether the place itself is varied by the seed; light is then solved anew for each case."""


def check_settings(recipe: Recipe, plan: Plan) -> list[Problem]:
    """What a recipe names of the plan that is not there."""
    return unknown_spaces(recipe, plan)


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A frame with one of two causes. Raises Unfit when no clear one comes about."""
    asked_for = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    rng = Random(f"pair/{seed}")  # noqa: S311 (no secret)
    options = rng.choice(asked_for.pairs).split("-")
    seen = look(place, rng, rng.choice(options), spaces=asked_for.spaces)
    cues = cues_for(options, seen.known.cue)
    task = build_frames(
        source,
        {"frame": seen},
        asks={"choices": asked("Which of the two?", options, cues)},
        shown=[("frame", "The frame")],
        key={},
    )
    return with_floor(task, WEIGHTS["cause"] * BLIND + WEIGHTS["cue"] / len(cues))


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade the choice and what tells so. Raises AnswerError."""
    return grade_cause(task, answer, standard, weights=WEIGHTS, family_credit=0.0, criteria={})


__all__ = ["NAME", "SKILLS", "TITLE", "grade", "make"]
