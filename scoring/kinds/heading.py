"""Heading: read one raw heading, as it comes from the phone. Is the lens seated, is it clean, is anything in the way?

    criterion  weight  what earns it
    state      0.70    what is wrong with it, or that nothing is
    side       0.30    on which side of the picture it shows; "no side" where it is all over, or nothing

The side is measured: where the picture differs most from a clean heading of the very same spot.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Mark, Recipe, Task, Unfit
from scoring.floor.plan import Plan
from scoring.frame.severity import only
from scoring.kinds.answers import choice, fields
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_case import Seen, look, raw_heading, told_by
from scoring.kinds.frame_grade import fix_mark, unlike_marks
from scoring.kinds.frame_key import Known, known_of, number_marks
from scoring.kinds.frame_signs import shown_spots, sign_marks
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.frame_words import Facts, found, lies_with, small, unlike
from scoring.kinds.good_share import until_fair
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.rig.kit import Kit
from scoring.standard import Share, Slug, Standard

NAME: KindName = "heading"
TITLE = "Read one heading"
SKILLS = ("B3", "B4")

WEIGHTS = {"state": 0.70, "side": 0.30}
STATES: dict[str, str] = {
    "F9": "The lens is not seated, or off centre",
    "F10": "There is a film on one part of the glass",
    "F11": "The glass is fogged all over",
    "F13": "It is out of focus, or smeared",
    "F19": "Something of the set-up is in the way",
    NOTHING: "Nothing: it is as it should be",
}
SIDES: dict[str, str] = {
    "left": "On the left", "right": "On the right", "top": "At the top", "bottom": "At the bottom",
    "none": "On no side in particular",
}  # fmt: skip
SEEN_ALONE = frozenset({
    "veil_share", "blur_deg", "crescent_share", "blocked_share", "clipped_share", "crushed_share", "dark_ev",
})  # fmt: skip
"""What can be seen in one heading by itself; seams, steps and the rest take two."""
ONE_SIDED = frozenset({"F9", "F10", "F19"})
UNSURE_DEG = 20.0
"""A side this near to the next one is no fair case."""
COMPARED_PX = 256
SHOWN_PX, SHOWN_LEVELS = 512, 12.0
"""A fault shows in a heading of that width when it changes one pixel of 200 by so much; common practice, no source."""
Readable = Literal["F9", "F10", "F11", "F13", "F19"]
READABLE: tuple[Readable, ...] = ("F9", "F10", "F11", "F13", "F19")


@declared
class Settings:
    """What a recipe of this kind may set."""

    faults: Annotated[tuple[Readable, ...], Field(min_length=1)] = READABLE
    """Codes of the faults that may be in a heading."""
    good: Share = 0.25
    """Share of headings with nothing that matters."""
    spaces: tuple[Slug, ...] = ()
    """Rooms to shoot in, by id; all that are large enough when none is named."""
    vary: bool = False
    """Whether the place itself is varied by the seed; light is then solved anew for each case."""


def check_settings(recipe: Recipe, plan: Plan) -> list[Problem]:
    """What a recipe names of the plan that is not there."""
    return unknown_spaces(recipe, plan)


@dataclass(frozen=True, slots=True)
class Offside:
    """Where one picture differs most from another: direction from its middle and how one-sided that is."""

    toward_deg: float
    """0 right, 90 up."""
    lean: float
    """0: the same on all sides; 1: on one side only."""


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """One raw heading. Raises Unfit for an unclear side."""
    asked_for = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    faults, good = asked_for.faults, asked_for.good
    kinds = {"kind": ("focus", "motion", "finger", "strap")}

    def made(rng: Random, code: str) -> tuple[Seen, int, str]:
        seen = look(place, rng, code, spaces=asked_for.spaces, fixed=kinds)
        seen = told_by(seen, SEEN_ALONE, standard.frames)
        index = _telling(seen, rng)
        if seen.known.choice not in ONE_SIDED:
            return seen, index, "none"
        faulty, clean = (raw_heading(one, index, COMPARED_PX) for one in (seen, seen.clean()))
        return seen, index, side_of(offside(faulty, clean))

    seen, index, side = until_fair(f"heading/{seed}", faults, good, made)
    task = build_frames(
        source,
        {"frame": seen},
        asks={
            "choices": [
                {
                    "name": "state",
                    "legend": "What does this heading show?",
                    "options": [list(o) for o in STATES.items()],
                },
                {"name": "side", "legend": "On which side?", "options": [list(o) for o in SIDES.items()]},
            ]
        },
        shown=[(f"heading-{index + 1}", f"Heading {index + 1} of {kit.headings}, as it came from the phone")],
        key={"side": side, "heading": index},
    )
    faulty = (1.0 - good) / len(faults)
    sided = sum(code in ONE_SIDED for code in faults) * faulty
    return with_floor(task, WEIGHTS["state"] * max(good, faulty) + WEIGHTS["side"] * max(1.0 - sided, sided / 4.0))


def _telling(seen: Seen, rng: Random) -> int:
    """A heading in which the fault shows: not every heading of a spin need have it. Raises Unfit for none."""
    order = rng.sample(range(seen.take.kit.headings), seen.take.kit.headings)
    if seen.known.choice == NOTHING:
        return order[0]
    clean = seen.clean()
    for index in order:
        if shown_levels(raw_heading(seen, index, SHOWN_PX), raw_heading(clean, index, SHOWN_PX)) >= SHOWN_LEVELS:
            return index
    raise Unfit("no heading shows it plainly")


def shown_levels(picture: NDArray[np.uint8], clean: NDArray[np.uint8]) -> float:
    """How much a heading picture (h, w, 3) differs from a clean one: the level that one pixel of 200 exceeds."""
    gap = np.abs(picture.astype(float) - clean.astype(float)).max(axis=2)
    return float(np.percentile(gap, 99.5))


def offside(picture: NDArray[np.uint8], clean: NDArray[np.uint8]) -> Offside:
    """Where a heading picture (h, w, 3) differs from a clean one: the first moment of what differs."""
    gap = np.abs(picture.astype(float) - clean.astype(float)).sum(axis=2)
    height, width = gap.shape
    y, x = np.mgrid[0:height, 0:width]
    right, up = (x - 0.5 * (width - 1)) / (0.5 * width), (0.5 * (height - 1) - y) / (0.5 * height)
    inside = right * right + up * up <= 1.0
    total = gap[inside].sum()
    if total == 0.0:
        return Offside(0.0, 0.0)
    east, north = (gap * right)[inside].sum() / total, (gap * up)[inside].sum() / total
    return Offside(math.degrees(math.atan2(north, east)), float(min(1.0, math.hypot(east, north))))


def side_of(found: Offside) -> str:
    """The side in words. Raises Unfit when it lies between two."""
    quarter = round(found.toward_deg / 90.0) % 4
    off = abs((found.toward_deg - 90.0 * quarter + 180.0) % 360.0 - 180.0)
    if off > 45.0 - UNSURE_DEG or found.lean < 0.2:
        raise Unfit(f"it shows toward {found.toward_deg:.0f} deg ({found.lean:.2f}), between two sides")
    return ("right", "top", "left", "bottom")[quarter]


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade what a heading shows and where. Raises AnswerError."""
    read = fields(answer, {"state", "side"}, {"state", "side"})
    state, side = choice(read["state"], "state", tuple(STATES)), choice(read["side"], "side", tuple(SIDES))
    known = _alone(known_of(task), standard)
    severity, facts = known.severity(standard), replace(known.facts(standard), alone=True)
    marks = [
        _state_mark(known, facts, state),
        _side_mark(facts, side, task.key["side"], task.key["heading"] + 1),
        *sign_marks(known, facts, standard),
        fix_mark(known, facts),
        *unlike_marks(known, facts, [code for code in STATES if code != state]),
        *number_marks(severity, facts, known.spots)[:1],
    ]
    right = state == known.choice
    return tally(
        task, marks, sound=right, summary=found(known.choice, facts), shapes=(), criteria={},
        spots=shown_spots(known, facts),
    )  # fmt: skip


def _alone(known: Known, standard: Standard) -> Known:
    """What is known as far as one heading shows it, without seams; older keys point at what takes two."""
    alone = replace(known, numbers=only(known.numbers, SEEN_ALONE), seams=())
    was, now = known.severity(standard), alone.severity(standard)
    if now.verdict != was.verdict:
        return replace(known, seams=())
    return alone if now.worst.quantity == was.worst.quantity else replace(alone, spots=(), places=(), away_m=None)


def _state_mark(known: Known, facts: Facts, said: str) -> Mark:
    right = known.choice
    words, mend = lies_with(right, facts), ""
    if said != right:
        not_that = f"You said “{small(STATES[said])}”; {facts.within} it is not that, with {facts.told}{facts.here}."
        mend = unlike(right, said, facts) or not_that
    return Mark("state", "What it shows", float(said == right), WEIGHTS["state"], None, None, "", words, mend)


def _side_mark(facts: Facts, said: str, right: str, heading: int) -> Mark:
    taken = f"heading {heading}, taken {facts.within} from {facts.spot}"
    if right == "none":
        words = f"It shows on no side more than on another in {taken}, with {facts.value}."
        mend = "" if said == right else f"Compare left with right and top with bottom in {taken}: they are alike."
        if facts.worst.verdict == "keep":
            words = f"There is nothing to see on any side of {taken}, with {facts.value} at worst."
    else:
        words = f"It shows {small(SIDES[right])} of {taken}, with {facts.value}."
        mend = "" if said == right else f"Hold {taken}, beside the clean one: they differ {small(SIDES[right])}."
    return Mark("side", "On which side", float(said == right), WEIGHTS["side"], None, None, "", words, mend)


__all__ = ["NAME", "SIDES", "SKILLS", "STATES", "TITLE", "Offside", "grade", "make", "offside", "side_of"]
