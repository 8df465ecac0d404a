"""Variations of a place: from a plan and a seed another plan that asks the same thing with other numbers.

Rooms are re-dimensioned within limits of sense, openings slid, leaves hung anew, furniture moved; then the sheet may
be turned or mirrored too, which alone would count as no variation at all. The same plan and seed give the same
variation for ever, and every variation passes the check that a shipped floor passes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from math import dist
from random import Random

from shapely.geometry import Polygon

from scoring.drill import Unfit, content_hash
from scoring.floor.check import check_plan
from scoring.floor.plan import Level, Opening, Plan, Point, Space
from scoring.floor.sense import TOLERANCE_M2, apart, parted, roomy, trouble_m2
from scoring.floor.turn import at_origin, turned
from scoring.floor.vary_doors import rehung
from scoring.floor.vary_rooms import bays_of, draw_lines, reach, redimensioned
from scoring.floor.vary_things import carried, rearranged

SPREAD = 0.18
"""Bays change by up to this share at first; less with every attempt that came to nothing."""
ATTEMPTS = 12
SIDED = re.compile(r"\b(north|south|east|west|left|right|near|far)", re.IGNORECASE)
"""Words that a mirrored drawing would make untrue."""

Limits = dict[int, tuple[float, float]]


def invent(plan: Plan, seed: int) -> Plan:
    """The variation of a plan with that seed. Raises Unfit when the seed makes none that is sound."""
    known = fingerprint(plan)
    for attempt in range(ATTEMPTS):
        rng = Random(f"variation/{seed}/{attempt}")  # noqa: S311 (no secret)
        spread = SPREAD * (1.0 - attempt / ATTEMPTS)
        made = _resized(plan, spread, rng)
        made = _rehung(made, rng)
        made = _rearranged(made, rng)
        if fingerprint(made) != known and not check_plan(made):
            return at_origin(turned(made, rng.randrange(4), rng.random() < 0.5 and not _sided(made)))
    raise Unfit(f"seed {seed}: no sound variation in {ATTEMPTS} attempts")


def _sided(plan: Plan) -> bool:
    named: Iterable[str] = [plan.title, plan.note, *(space.name for level in plan.levels for space in level.spaces)]
    return any(SIDED.search(words) for words in named)


def _resized(plan: Plan, spread: float, rng: Random) -> Plan:
    """Walls moved and furniture put back. Rooms that come out wrong may only grow, then must stay as they were."""
    bays = (bays_of(plan, 0), bays_of(plan, 1))
    draw = rng.random()
    limits: tuple[Limits, Limits] = ({}, {})
    for least, most in ((1.0, 2.0), (1.0, 1.0), (1.0, 1.0)):
        again = Random(draw)  # noqa: S311 (no secret)
        lines = [draw_lines(bays[axis], spread, limits[axis], again) for axis in (0, 1)]
        made = carried(plan, redimensioned(plan, lines[0], lines[1]), lines[0], lines[1])
        wrong = list(_wrong_rooms(plan, made))
        if not wrong:
            return made
        for space in wrong:
            for axis in (0, 1):
                for bay in bays[axis].within(*reach(space.outline, axis)):
                    limits[axis][bay] = (least, most)
    return plan


def _wrong_rooms(plan: Plan, made: Plan) -> Iterable[Space]:
    """Rooms of the old plan that the new one spoils."""
    for number, (old, new) in enumerate(zip(plan.levels, made.levels, strict=True)):
        for was, now in zip(old.spaces, new.spaces, strict=True):
            if not roomy(was, now):
                yield was
                continue
            before, after = trouble_m2(old, was, plan.flights, number), trouble_m2(new, now, made.flights, number)
            if after > before + TOLERANCE_M2 or parted(new, now) > parted(old, was):
                yield was


def _rehung(plan: Plan, rng: Random) -> Plan:
    levels = list(plan.levels)
    for number in range(len(levels)):

        def fair(old: Level, new: Level, opening: Opening, number: int = number) -> bool:
            rooms = [space for space in old.spaces if space.id in opening.between]
            return apart(new) <= apart(old) + TOLERANCE_M2 and all(
                _no_worse(plan, old, new, space, number) for space in rooms
            )

        levels[number] = rehung(levels[number], rng, fair)
    return replace(plan, levels=tuple(levels))


def _rearranged(plan: Plan, rng: Random) -> Plan:
    levels = list(plan.levels)
    for number in range(len(levels)):

        def fair(old: Level, new: Level, space: Space, number: int = number) -> bool:
            return _no_worse(plan, old, new, space, number)

        for space in levels[number].spaces:
            levels[number] = rearranged(levels[number], space, rng, fair)
    return replace(plan, levels=tuple(levels))


def _no_worse(plan: Plan, old: Level, new: Level, space: Space, number: int) -> bool:
    before, after = trouble_m2(old, space, plan.flights, number), trouble_m2(new, space, plan.flights, number)
    return after <= before + TOLERANCE_M2 and parted(new, space) <= parted(old, space)


def fingerprint(plan: Plan) -> str:
    """A hash that turned, mirrored, shifted and renamed drawings of one place share, and others do not."""
    levels = [sorted(_signature(level, space) for space in level.spaces) for level in plan.levels]
    flights = sorted([_figure(dist(*flight.foot.edge)), flight.risers] for flight in plan.flights)
    return content_hash([levels, flights])


def _signature(level: Level, space: Space) -> list[object]:
    shape = Polygon(space.outline)
    middle = (float(shape.centroid.x), float(shape.centroid.y))
    openings = sorted(
        [one.kind, _figure(dist(*one.jambs)), _figure(dist(middle, _middle(one.jambs))), _open(one)]
        for one in level.openings
        if space.id in one.between
    )
    things = sorted(
        [one.kind, _figure(Polygon(one.outline).area), _figure(dist(middle, _middle(one.outline)))]
        for one in level.things
        if one.space == space.id
    )
    return [space.use, _figure(float(shape.area)), _figure(float(shape.length)), openings, things]


def _open(opening: Opening) -> float:
    return -1.0 if opening.leaf is None else opening.leaf.open_deg


def _middle(points: tuple[Point, ...]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _figure(value: float) -> float:
    """A length or an area to the centimetre; the odd offset keeps round figures off the edge of rounding."""
    return round(value + 0.00137, 2)


__all__ = ["fingerprint", "invent"]
