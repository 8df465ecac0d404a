"""Whether the flights of a plan meet the floors they join and can be climbed.

Figures of steps are those of the International Residential Code R311.7 (2018), read second-hand. They teach;
this is no code check.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely.geometry import Polygon

from scoring.border import Problem
from scoring.floor.drawn import OVERLAP_MAX_M2, STEP_MAX_M, TOUCH_M, Drawn, crossing_pairs, floor_at, room
from scoring.floor.joins import WALK_WIDTH_MIN_M, line_off
from scoring.floor.plan import Flight, FlightEnd, Plan, Point, Space
from scoring.floor.rings import check_ring

TREAD_MIN_M = 0.254


def check_flights(plan: Plan, drawn: Sequence[Drawn]) -> Iterator[Problem]:
    """Problems of all flights: ends that meet no floor, steps nobody should climb, rooms in the way."""
    sound: list[tuple[int, Flight, Polygon]] = []
    for index, flight in enumerate(plan.flights):
        where = f"flights[{index}]"
        who = f"flight '{flight.name}'"
        wrong = check_ring(flight.outline, f"{where}.outline", who)
        yield from wrong
        ends: list[Space] = []
        for name, end in (("foot", flight.foot), ("head", flight.head)):
            found, space = _flight_end(end, f"{where}.{name}", f"{who}: its {name}", drawn)
            yield from found
            if space is not None:
                ends.append(space)
        if wrong or len(ends) < 2:
            continue
        shape = Polygon(flight.outline)
        sound.append((index, flight, shape))
        yield from _check_flight(flight, where, who, ends, shape, drawn)
    for i, j in crossing_pairs([shape for _, _, shape in sound]):
        (_, a, _), (index, b, _) = sound[i], sound[j]
        if a.foot.level == b.foot.level:
            yield Problem(f"flights[{index}].outline", f"flights '{a.name}' and '{b.name}' overlap")


def _flight_end(end: FlightEnd, where: str, who: str, drawn: Sequence[Drawn]) -> tuple[list[Problem], Space | None]:
    if end.level >= len(drawn):
        return [Problem(f"{where}.level", f"{who} is on level {end.level}, which is not drawn")], None
    on = drawn[end.level]
    if end.space not in on.spaces:
        known = any(space.id == end.space for space in on.level.spaces)
        words = "meets a room whose outline is not sound" if known else f"meets {end.space!r}, no space of that level"
        return [Problem(f"{where}.space", f"{who} {words}")], None
    item = on.spaces[end.space]
    if math.dist(*end.edge) < WALK_WIDTH_MIN_M:
        return [Problem(f"{where}.edge", f"{who} is only {math.dist(*end.edge):.2f} m wide")], None
    off = line_off(np.asarray(end.edge), item.shape)
    if off > TOUCH_M:
        words = f"{who} does not lie on the outline of {room(item.value)}: up to {off:.4f} m off"
        return [Problem(f"{where}.edge", words)], None
    return [], item.value


def _check_flight(
    flight: Flight, where: str, who: str, ends: Sequence[Space], shape: Polygon, drawn: Sequence[Drawn]
) -> Iterator[Problem]:
    for name, end in (("foot", flight.foot), ("head", flight.head)):
        off = line_off(np.asarray(end.edge), shape)
        if off > TOUCH_M:
            words = f"{who}: its {name} edge does not lie on the flight's own outline: up to {off:.4f} m off"
            yield Problem(f"{where}.{name}.edge", words)
    low = floor_at(drawn[flight.foot.level], ends[0])
    high = floor_at(drawn[flight.head.level], ends[1])
    if high - low <= 0.0:
        yield Problem(where, f"{who}: its head ({high:.2f} m) does not lie above its foot ({low:.2f} m)")
        return
    riser = (high - low) / flight.risers
    if riser > STEP_MAX_M + 1e-9:
        words = (
            f"{who}: {flight.risers} risers of {riser * 1000:.0f} mm; at most {STEP_MAX_M * 1000:.0f} mm are climbed"
        )
        yield Problem(f"{where}.risers", words)
    run = math.dist(_middle(flight.foot.edge), _middle(flight.head.edge))
    tread = run / max(flight.risers - 1, 1)
    if tread < TREAD_MIN_M - 1e-9:
        words = (
            f"{who}: treads of {tread * 1000:.0f} mm over {run:.2f} m; at least {TREAD_MIN_M * 1000:.0f} mm are needed"
        )
        yield Problem(f"{where}.outline", words)
    for number in {flight.foot.level, flight.head.level}:
        for item in drawn[number].spaces.values():
            if shape.intersects(item.shape) and shape.intersection(item.shape).area > OVERLAP_MAX_M2:
                yield Problem(f"{where}.outline", f"{who} runs through the floor of {room(item.value)}")


def _middle(edge: tuple[Point, Point]) -> Point:
    return (edge[0][0] + edge[1][0]) / 2.0, (edge[0][1] + edge[1][1]) / 2.0


__all__ = ["check_flights"]
