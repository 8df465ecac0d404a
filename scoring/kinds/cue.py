"""Cue: mark where you see it, or say that there is nothing to mark.

    criterion  weight  what earns it
    marked     1.00    matched credit over (spots that are there + marks that match none)

A mark has full credit up to NEAR_DEG beyond the edge of a spot's box, none beyond FAR_DEG, linear in between, on the
sphere. Each mark is matched to one spot and each spot to one mark, so that sprinkling marks cannot pay.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from random import Random
from typing import Annotated

import numpy as np
from pydantic import Field
from scipy.optimize import linear_sum_assignment

from scoring.border import Problem
from scoring.drill import AnswerError, Grade, Json, KindName, Mark, Recipe, Spot, Task, Unfit
from scoring.floor.plan import Plan
from scoring.frame.faults import FaultCode
from scoring.kinds.answers import fields
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_case import FAULT_CODES, chosen_code, look
from scoring.kinds.frame_grade import fix_mark
from scoring.kinds.frame_key import Known, known_of, number_marks
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.frame_words import Facts, direction, found
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.kinds.words import counted
from scoring.rig.kit import Kit
from scoring.standard import Share, Slug, Standard

NAME: KindName = "cue"
TITLE = "Mark where it shows"
SKILLS = ("V1", "V3")

SPOTS_MOST = 3
NEAR_DEG, FAR_DEG = 4.0, 15.0
"""How far from the edge of a spot's box a mark has full credit, and none [deg on the sphere]."""
SPREAD_MOST = 0.35
"""A fault whose spots cover more of the sphere than this share cannot be pointed at."""
PLACED = tuple(code for code in FAULT_CODES if code not in {"F4", "F14", "F11"})
"""Faults that show somewhere, rather than everywhere."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    faults: Annotated[tuple[FaultCode, ...], Field(min_length=1)] = PLACED
    """Codes of the faults that may be in a frame."""
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
    """A frame with something to point at, or nothing. Raises Unfit for what shows nowhere in particular."""
    asked_for = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    rng = Random(f"cue/{seed}")  # noqa: S311 (no secret)
    good = asked_for.good
    seen = look(place, rng, chosen_code(rng, asked_for.faults, good), spaces=asked_for.spaces)
    spots = seen.known.spots
    if seen.known.choice != NOTHING and not spots:
        raise Unfit(f"{seen.known.code} shows nowhere in particular")
    covered = sum(box_share(spot) for spot in spots)
    if covered > SPREAD_MOST:
        raise Unfit(f"{seen.known.code} covers {100 * covered:.0f} % of the sphere")
    task = build_frames(
        source,
        {"frame": seen},
        asks={"spots_most": SPOTS_MOST},
        shown=[("frame", "The frame")],
        key={},
    )
    return with_floor(task, max(good, (1.0 - good) * covered))


def box_share(spot: Spot) -> float:
    """Share of the sphere that a spot takes up, with the distance at which a mark still has full credit."""
    low, high = (
        math.sin(math.radians(max(-90.0, min(90.0, spot.elevation_deg + side * (0.5 * spot.height_deg + NEAR_DEG)))))
        for side in (-1.0, 1.0)
    )
    return min(360.0, spot.width_deg + 2.0 * NEAR_DEG) / 360.0 * (high - low) / 2.0


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade marked spots; none says that there is nothing to mark. Raises AnswerError."""
    marked = read_spots(fields(answer, {"spots"}, {"spots"})["spots"])
    known = known_of(task)
    severity, facts = known.severity(standard), known.facts(standard)
    mark = _marked(known, facts, marked)
    marks = [mark, fix_mark(known, facts), *number_marks(severity, facts, known.spots)]
    answered = tuple(
        Spot("answered", "frame", azimuth, elevation, 2.0, 2.0, str(number))
        for number, (azimuth, elevation) in enumerate(marked, 1)
    )
    return tally(
        task, marks, sound=mark.credit > 0.5, summary=found(known.choice, facts), shapes=(), criteria={},
        spots=(*known.spots, *answered),
    )  # fmt: skip


def read_spots(value: Json) -> list[tuple[float, float]]:
    """Marked spots as (azimuth, elevation) [deg]. Raises AnswerError with the place of the fault."""
    if not isinstance(value, list):
        raise AnswerError("spots: must be a list")
    if len(value) > SPOTS_MOST:
        raise AnswerError(f"spots: {len(value)} are too many; at most {SPOTS_MOST}")
    return [
        (_angle(item, i, "azimuth_deg", 180.0), _angle(item, i, "elevation_deg", 90.0)) for i, item in enumerate(value)
    ]


def _angle(item: Json, index: int, name: str, most: float) -> float:
    if not isinstance(item, Mapping) or set(item) != {"azimuth_deg", "elevation_deg"}:
        raise AnswerError(f"spots[{index}]: must have an azimuth_deg and an elevation_deg")
    value = item[name]
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not -most <= value <= most:
        raise AnswerError(f"spots[{index}].{name}: must be a number of degrees from -{most:.0f} to {most:.0f}")
    return float(value)


def off_deg(spot: Spot, azimuth_deg: float, elevation_deg: float) -> float:
    """How far a direction lies from the edge of a spot's box [deg on the sphere]; 0 inside."""
    aside = abs((azimuth_deg - spot.azimuth_deg + 180.0) % 360.0 - 180.0)
    out = max(0.0, aside - 0.5 * spot.width_deg) * math.cos(math.radians(elevation_deg))
    up = max(0.0, abs(elevation_deg - spot.elevation_deg) - 0.5 * spot.height_deg)
    return math.hypot(out, up)


def credit_of(spots: Sequence[Spot], marked: Sequence[tuple[float, float]]) -> tuple[float, list[float]]:
    """Credit 0..1 of some marks, and how far each is off the nearest spot [deg]; marks none, spots none: 1."""
    if not spots or not marked:
        return float(not spots and not marked), [180.0] * len(marked)
    off = np.array([[off_deg(spot, *at) for at in marked] for spot in spots])
    worth = np.clip((FAR_DEG - off) / (FAR_DEG - NEAR_DEG), 0.0, 1.0)
    rows, columns = linear_sum_assignment(-worth)
    matched = worth[rows, columns]
    return float(matched.sum() / (len(spots) + len(marked) - (matched > 0.0).sum())), off.min(axis=0).tolist()


def _marked(known: Known, facts: Facts, marked: Sequence[tuple[float, float]]) -> Mark:
    spots = known.spots if known.choice != NOTHING else ()
    credit, off = credit_of(spots, marked)
    there = f"It shows{facts.at}" if spots else f"There is nothing to mark in {facts.room} at {facts.spot}"
    if not marked:
        words = f"{there}, with {facts.told}; you marked nothing."
    else:
        nearest = min(off)
        said = "on it" if nearest <= NEAR_DEG else f"{nearest:.0f}° off"
        words = f"{there}, with {facts.told}; of your {counted(len(marked), 'mark')} the nearest is {said}."
        if not spots:
            words = f"{there}, with {facts.told} at most; you marked {direction(*marked[0])}."
    mend = (
        ""
        if credit >= 1.0
        else f"Look{facts.at}: {facts.told}."
        if spots
        else f"Leave {facts.room} unmarked: at worst {facts.told}."
    )
    return Mark(
        criterion="marked",
        title="Where it shows",
        credit=credit,
        weight=1.0,
        value=round(min(off), 1) if marked and spots else None,
        limit=NEAR_DEG if marked and spots else None,
        unit="°" if marked and spots else "",
        words=words,
        mend=mend,
        spots=known.spots,
    )


__all__ = ["NAME", "SKILLS", "TITLE", "box_share", "credit_of", "grade", "make", "off_deg", "read_spots"]
