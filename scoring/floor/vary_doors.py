"""Openings slid along their walls; doors hung on the other jamb, swung the other way, opened wider or less."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Literal

from scoring.floor.plan import Leaf, Level, Opening
from scoring.floor.vary_rooms import along_axis, reach, shifted, wall_run

SLIDE_MAX_M = 1.5
FROM_CORNER_M = 0.1
"""A jamb stays this far from the end of its wall."""
OPEN_DEG = (75.0, 85.0, 90.0, 100.0, 110.0)
"""Angles at which a door that stands open may stand."""
OPEN_FROM_DEG = 45.0
"""A leaf that is drawn nearer to shut than this stays as it is drawn."""
TRIES = 4

FairOpening = Callable[[Level, Level, Opening], bool]
"""Whether a changed level may stand in for the old one, as far as one opening goes."""


def rehung(level: Level, rng: Random, fair: FairOpening) -> Level:
    """The level with some of its openings moved and some of its leaves hung anew, each change a fair one."""
    for index in range(len(level.openings)):
        if rng.random() < 0.7:
            level = _tried(level, index, rng, fair, _slid)
        if level.openings[index].leaf is not None and rng.random() < 0.5:
            level = _tried(level, index, rng, fair, _hung)
    return level


def _tried(
    level: Level,
    index: int,
    rng: Random,
    fair: FairOpening,
    change: Callable[[Opening, Level, Random], Opening],
) -> Level:
    for _ in range(TRIES):
        opening = change(level.openings[index], level, rng)
        if opening == level.openings[index]:
            continue
        openings = (*level.openings[:index], opening, *level.openings[index + 1 :])
        changed = replace(level, openings=openings)
        if fair(level, changed, opening):
            return changed
    return level


def _slid(opening: Opening, level: Level, rng: Random) -> Opening:
    axis, run = along_axis(opening), wall_run(opening, level)
    if axis is None or run is None:
        return opening
    low, high = reach(opening.jambs, axis)
    least = max(run[0] + FROM_CORNER_M - low, -SLIDE_MAX_M)
    most = min(run[1] - FROM_CORNER_M - high, SLIDE_MAX_M)
    if most <= least:
        return opening
    slide = round(rng.uniform(least, most), 2)
    return shifted(opening, slide, 0.0) if axis == 0 else shifted(opening, 0.0, slide)


def _hung(opening: Opening, level: Level, rng: Random) -> Opening:
    leaf = opening.leaf
    if leaf is None:
        return opening
    rooms = {space.id for space in level.spaces}
    sides = [end for end in opening.between if end in rooms]
    into = rng.choice(sides) if rng.random() < 0.4 else leaf.into
    other: Literal[0, 1] = 0 if leaf.hinge == 1 else 1
    hinge = other if rng.random() < 0.5 else leaf.hinge
    angle = rng.choice(OPEN_DEG) if leaf.open_deg >= OPEN_FROM_DEG else leaf.open_deg
    hung: Leaf = replace(leaf, hinge=hinge, into=into, open_deg=angle)
    return replace(opening, leaf=hung)


__all__ = ["FairOpening", "rehung"]
