"""Cue: mark where you see it, or say that there is nothing to mark.

    criterion  weight  what earns it
    marked     1.00    the mean, over the marks, of how well each lies on a place that shows it

A fault shows at one place or at many, the same smudge in every heading: a mark at any of them is right, and one right
mark is enough. A mark has full credit up to NEAR_DEG beyond the edge of a place's box, none beyond FAR_DEG, linear in
between, on the sphere. A mark elsewhere draws the mean down, so that sprinkling marks cannot pay.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from typing import Annotated

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field

from scoring.border import Problem
from scoring.drill import AnswerError, Grade, Json, KindName, Mark, Recipe, Spot, Task, Unfit
from scoring.floor.plan import Plan
from scoring.frame.faults import FaultCode
from scoring.kinds.answers import fields
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_case import FAULT_CODES, Seen, look
from scoring.kinds.frame_grade import fix_mark, unlike_marks
from scoring.kinds.frame_key import known_of, number_marks
from scoring.kinds.frame_signs import sign_marks
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.frame_words import Facts, direction, found
from scoring.kinds.good_share import until_fair
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
"""How far from the edge of a place's box a mark has full credit, and none [deg on the sphere]."""
SPREAD_MOST = 0.35
"""A fault whose places cover more of the sphere than this share cannot be pointed at."""
AT_SEAMS = frozenset({"F1", "F2", "F3", "F5", "F6", "F7", "F9", "F15"})
"""Faults that show where two headings meet."""
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
    good = asked_for.good

    def made(rng: Random, code: str) -> tuple[Seen, float]:
        seen = look(place, rng, code, spaces=asked_for.spaces)
        if seen.known.choice != NOTHING and not seen.known.places:
            raise Unfit(f"{seen.known.code} shows nowhere in particular")
        covered, by_chance = spread(seen.known.places)
        if covered > SPREAD_MOST:
            raise Unfit(f"{seen.known.code} covers {100 * covered:.0f} % of the sphere")
        return seen, by_chance

    seen, by_chance = until_fair(f"cue/{seed}", asked_for.faults, good, made)
    # Who does not look says "nothing", marks anything, or marks a seam, which is right for faults that show there.
    seams = sum(code in AT_SEAMS for code in asked_for.faults) / len(asked_for.faults)
    blind = max(by_chance, seams * at_a_seam(seen.known.places, kit.headings))
    task = build_frames(
        source,
        {"frame": seen},
        asks={"spots_most": SPOTS_MOST},
        shown=[("frame", "The frame")],
        key={},
    )
    return with_floor(task, max(good, (1.0 - good) * blind))


def spread(places: Sequence[Spot]) -> tuple[float, float]:
    """Share of the sphere where a mark has full credit, and the mean credit of a mark put anywhere at random."""
    if not places:
        return 0.0, 0.0
    azimuth, elevation = np.meshgrid(np.arange(-179.0, 180.0, 2.0), np.arange(-89.0, 90.0, 2.0))
    off = np.min([off_deg(place, azimuth, elevation) for place in places], axis=0)
    share = np.cos(np.radians(elevation)) / np.cos(np.radians(elevation)).sum()
    return float((share * (off <= NEAR_DEG)).sum()), float((share * worth(off)).sum())


def at_a_seam(places: Sequence[Spot], headings: int) -> float:
    """Mean credit of a mark at a seam drawn at random, at the elevation that is best for it; a page leads to seams."""
    if not places:
        return 0.0
    azimuth, elevation = np.meshgrid(360.0 / headings * (np.arange(headings) + 0.5), np.arange(-60.0, 61.0, 5.0))
    off = np.min([off_deg(place, azimuth, elevation) for place in places], axis=0)
    return float(worth(off).mean(axis=1).max())


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade marked spots; none says that there is nothing to mark. Raises AnswerError."""
    marked = read_spots(fields(answer, {"spots"}, {"spots"})["spots"])
    known = known_of(task)
    places = (known.places or known.spots) if known.choice != NOTHING else ()
    severity, facts = known.severity(standard), known.facts(standard)
    mark = _marked(facts, places, marked)
    marks = [
        mark, *sign_marks(known, facts, standard), fix_mark(known, facts), *unlike_marks(known, facts),
        *number_marks(severity, facts, known.spots),
    ]  # fmt: skip
    answered = tuple(
        Spot("answered", "frame", azimuth, elevation, 2.0, 2.0, str(number))
        for number, (azimuth, elevation) in enumerate(marked, 1)
    )
    return tally(
        task, marks, sound=mark.credit >= 0.5, summary=found(known.choice, facts), shapes=(), criteria={},
        spots=(*places, *answered),
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


def off_deg(spot: Spot, azimuth_deg: ArrayLike, elevation_deg: ArrayLike) -> NDArray[np.float64]:
    """How far directions lie from the edge of a spot's box [deg on the sphere]; 0 inside."""
    azimuth, elevation = np.asarray(azimuth_deg, np.float64), np.asarray(elevation_deg, np.float64)
    aside = np.abs((azimuth - spot.azimuth_deg + 180.0) % 360.0 - 180.0)
    out = np.maximum(0.0, aside - 0.5 * spot.width_deg) * np.cos(np.radians(elevation))
    up = np.maximum(0.0, np.abs(elevation - spot.elevation_deg) - 0.5 * spot.height_deg)
    return np.asarray(np.hypot(out, up))


def worth(off_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Credit 0..1 of marks that far off a place [deg]."""
    return np.asarray(np.clip((FAR_DEG - off_deg) / (FAR_DEG - NEAR_DEG), 0.0, 1.0))


def credit_of(places: Sequence[Spot], marked: Sequence[tuple[float, float]]) -> tuple[float, list[float]]:
    """Credit 0..1 of some marks, and how far each is off the nearest place [deg]; marks none, places none: 1."""
    if not places or not marked:
        return float(not places and not marked), [180.0] * len(marked)
    azimuth, elevation = np.array(marked).T
    off = np.min([off_deg(place, azimuth, elevation) for place in places], axis=0)
    return float(worth(off).mean()), off.tolist()


def _marked(facts: Facts, places: Sequence[Spot], marked: Sequence[tuple[float, float]]) -> Mark:
    credit, off = credit_of(places, marked)
    if places:
        plainest = " plainest" if facts.is_plainest else ""
        there = f"It shows{plainest}{facts.there}, with {facts.told}"
        if len(places) > 1:
            there += f", and at {counted(len(places) - 1, 'other place')}"
        words = f"{there}; {_of_marks(off, len(places))}."
    else:
        there = f"There is nothing to mark {facts.within} at {facts.spot}, with {facts.told} at most"
        words = f"{there}; you marked {direction(*marked[0]) if marked else 'nothing'}."
    return Mark(
        criterion="marked",
        title="Where it shows",
        credit=credit,
        weight=1.0,
        value=round(max(off), 1) if marked and places else None,
        limit=NEAR_DEG if marked and places else None,
        unit="°" if marked and places else "",
        words=words,
        mend="" if credit >= 1.0 else _mend(facts, places, marked, off),
        spots=tuple(places),
    )


def _of_marks(off: Sequence[float], places: int) -> str:
    """How many of the marks are right, and how far off the farthest of the others is."""
    right = sum(one <= NEAR_DEG for one in off)
    on = "on it" if places == 1 else "on one of them"
    if not off:
        return "you marked nothing"
    if len(off) == 1:
        return f"your mark is {on if right else f'{off[0]:.0f}° off'}"
    if right == len(off):
        return f"your {counted(right, 'mark')} are each {on}"
    hit = f"{right or 'none'} {'are' if right > 1 else 'is'} {on}"
    return f"of your {counted(len(off), 'mark')} {hit}, one is {max(off):.0f}° off"


def _mend(facts: Facts, places: Sequence[Spot], marked: Sequence[tuple[float, float]], off: Sequence[float]) -> str:
    if not places:
        return f"Leave {facts.room} unmarked{facts.here}: at worst {facts.told}."
    if not marked or min(off) > NEAR_DEG:
        return f"Look{facts.there}: {facts.told}."
    stray = direction(*marked[int(np.argmax(off))])
    return f"Leave out the mark at {stray}: {facts.told} shows{facts.there}, not there, and one right mark is enough."


__all__ = [
    "NAME", "SKILLS", "TITLE", "at_a_seam", "credit_of", "grade", "make", "off_deg", "read_spots", "spread", "worth",
]  # fmt: skip
