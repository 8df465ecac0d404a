"""Cause: what went wrong, of those that look alike, and what tells so.

    criterion  weight  what earns it
    cause      0.80    the cause; half of it for a cause of the same family
    cue        0.20    what decides between it and its look-alikes, in this very frame

About a quarter of the frames have nothing that matters, and saying so is then the right cause.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Recipe, Task
from scoring.floor.plan import Plan
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import CAUSES, LOOKS, NOTHING, LookName
from scoring.kinds.frame_case import chosen_code, look
from scoring.kinds.frame_grade import FAMILY_CREDIT, asked, cues_for, grade_cause
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.rig.kit import Kit
from scoring.standard import Share, Slug, Standard

NAME: KindName = "cause"
TITLE = "What went wrong"
SKILLS = ("V3", "B1", "B3")

WEIGHTS = {"cause": 0.80, "cue": 0.20}
CRITERIA = {"V3": frozenset({"cause", "cue"})}


@declared
class Settings:
    """What a recipe of this kind may set."""

    look: LookName = "doubled"
    """Which causes that look alike are the choices."""
    good: Share = 0.25
    """Share of frames with nothing that matters."""
    spaces: tuple[Slug, ...] = ()
    """Rooms to shoot in, by id; all that are large enough when none is named."""
    vary: bool = False
    """Whether the place itself is varied by the seed; light is then solved anew for each case."""


def check_settings(recipe: Recipe, plan: Plan) -> list[Problem]:
    """What a recipe names of the plan that is not there."""
    return unknown_spaces(recipe, plan)


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A frame with one cause among look-alikes. Raises Unfit when no clear one comes about."""
    asked_for = settings_of(recipe, Settings)
    options, good = LOOKS[asked_for.look], asked_for.good
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    rng = Random(f"cause/{seed}")  # noqa: S311 (no secret)
    code = chosen_code(rng, [option for option in options if option != NOTHING], good)
    seen = look(place, rng, code, spaces=asked_for.spaces)
    cues = cues_for(options, seen.known.cue)
    task = build_frames(
        source,
        {"frame": seen},
        asks={"choices": asked("What went wrong?", options, cues)},
        shown=[("frame", "The frame")],
        key={},
    )
    return with_floor(task, blind_credit(options, good, len(cues)))


def blind_credit(options: tuple[str, ...], good: float, cues: int) -> float:
    """Expected credit of the best answer without looking: always "nothing", or always the cause of the best family."""
    faults = [code for code in options if code != NOTHING]
    each = (1.0 - good) / len(faults)
    families = [CAUSES[code].family for code in faults]
    best = max(each + each * FAMILY_CREDIT * (families.count(name) - 1) for name in families)
    return WEIGHTS["cause"] * max(good, best) + WEIGHTS["cue"] * max(good, each, 1.0 / cues)


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade a cause and what tells so. Raises AnswerError."""
    return grade_cause(task, answer, standard, weights=WEIGHTS, family_credit=FAMILY_CREDIT, criteria=CRITERIA)


__all__ = ["NAME", "SKILLS", "TITLE", "blind_credit", "grade", "make"]
