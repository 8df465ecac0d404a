"""Cause: what went wrong, of those that look alike, and what tells so.

    criterion  weight  what earns it
    cause      0.80    the cause; half of it for a cause of the same family
    cue        0.20    what decides between it and its look-alikes, in this very frame

Where a recipe asks what else is wrong, a frame with a fault may have a second one, of other traces:

    cause      0.50    second     0.30    the other cause, or that there is none; half of it for the family
    cue        0.20

About a quarter of the frames have nothing that matters, and saying so is then the right cause.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Recipe, Task
from scoring.floor.plan import Plan
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import CAUSES, LOOKS, NOTHING, LookName
from scoring.kinds.frame_both import goes_beside, look_both
from scoring.kinds.frame_case import Seen, look
from scoring.kinds.frame_grade import FAMILY_CREDIT, asked, cues_for, grade_cause
from scoring.kinds.frame_key import known_json
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.good_share import until_fair
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.rig.kit import Kit
from scoring.standard import Share, Slug, Standard

NAME: KindName = "cause"
TITLE = "What went wrong"
SKILLS = ("V3", "B1", "B3")

WEIGHTS = {"cause": 0.80, "cue": 0.20}
WEIGHTS_OF_TWO = {"cause": 0.50, "cue": 0.20, "second": 0.30}
TWO_SHARE = 0.5
"""Of the frames with a fault, where a second one may be there."""
CRITERIA = {"V3": frozenset({"cause", "cue", "second"})}


@declared
class Settings:
    """What a recipe of this kind may set."""

    look: LookName = "doubled"
    """Which causes that look alike are the choices."""
    beside: LookName | None = None
    """Which causes the second fault may have, besides those of ``look``; None asks for no second one."""
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
    others = others_of(options, asked_for.beside)

    def made(rng: Random, code: str) -> tuple[Seen, dict[str, Json]]:
        if others and code.startswith("F") and rng.random() < TWO_SHARE:
            both = look_both(place, rng, code, others, spaces=asked_for.spaces)
            return both.seen, {"second": known_json(both.second)}
        return look(place, rng, code, spaces=asked_for.spaces), {"second": None} if others else {}

    faults = [option for option in options if option != NOTHING]
    seen, key = until_fair(f"cause/{seed}", faults, good, made)
    cues = cues_for(options, seen.known.cue)
    task = build_frames(
        source,
        {"frame": seen},
        asks={"choices": asked("What went wrong?", options, cues, others)},
        shown=[("frame", "The frame")],
        key=key,
    )
    return with_floor(task, blind_credit(options, good, len(cues), others))


def others_of(options: Sequence[str], beside: LookName | None) -> list[str]:
    """The causes that a second fault may have, where a recipe asks for one."""
    every = LOOKS[beside] if beside else ()
    return [one for one in every if any(goes_beside(one, option) for option in options)]


def blind_credit(options: Sequence[str], good: float, cues: int, others: Sequence[str] = ()) -> float:
    """Expected credit of the best answer without looking: always "nothing", or always the cause of the best family."""
    weights = WEIGHTS_OF_TWO if others else WEIGHTS
    faults = [code for code in options if code != NOTHING]
    each = (1.0 - good) / len(faults)
    first = max(good, _best_family(faults, each))
    credit = weights["cause"] * first + weights["cue"] * max(good, each, 1.0 / cues)
    if others:
        two = (1.0 - good) * TWO_SHARE
        credit += weights["second"] * max(1.0 - two, _best_family(others, two / len(others)))
    return credit


def _best_family(codes: Sequence[str], each: float) -> float:
    """Credit of always naming one cause, each of them as likely as the others."""
    families = [CAUSES[code].family for code in codes]
    return max(each + each * FAMILY_CREDIT * (families.count(name) - 1) for name in families)


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade a cause and what tells so. Raises AnswerError."""
    weights = WEIGHTS_OF_TWO if "second" in task.key else WEIGHTS
    return grade_cause(task, answer, standard, weights=weights, family_credit=FAMILY_CREDIT, criteria=CRITERIA)


__all__ = ["NAME", "SKILLS", "TITLE", "blind_credit", "grade", "make"]
