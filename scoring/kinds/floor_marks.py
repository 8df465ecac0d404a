"""What a grade says about floor: one mark for each room that has to be shown, one line each about corners and walls."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import dist

import shapely

from scoring.drill import Json, Mark, Shape
from scoring.floor.cover import SPECK_M2, SpaceKey, floor_seen
from scoring.floor.findings import Cover, WallsSeen
from scoring.floor.overlay import join, meet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.kinds.drawing import area, line, point
from scoring.kinds.words import Names, in_or_on, listed, metres, spot, start

DRAWN_M = 0.3
"""Shorter stretches of wall are told, not drawn."""
ROOMS_NAMED = 2
"""Where more rooms than this have as much of something, none is named."""


def asked(covers: Sequence[Cover]) -> list[Cover]:
    """The rooms whose floor has to be shown."""
    return [cover for cover in covers if cover.asked]


def floor_marks(place: Place, covers: Sequence[Cover], names: Names, weight: float, reference: Json) -> list[Mark]:
    """A mark for each room that has to be shown; together they weigh ``weight``."""
    rooms = asked(covers)
    return [_floor_mark(place, cover, names, weight / len(rooms), reference) for cover in rooms]


def _floor_mark(place: Place, cover: Cover, names: Names, weight: float, reference: Json) -> Mark:
    room = names.room(cover.level, cover.space)
    value, limit = 100.0 * cover.share, 100.0 * cover.target_share
    short = cover.share < cover.target_share - 1e-9
    figure, target = percent(value, limit)
    words = f"{figure} of the floor of {room} is seen."
    mend = ""
    shapes: list[Shape] = []
    if short and cover.holds:
        words = f"{figure} of the floor of {room} is seen, within a hand's width of the {target} asked for."
    elif short:
        words = f"{figure} of the floor of {room} is seen; {target} is asked for."
        mend, shapes = _floor_mend(place, cover, room, reference)
    shapes = [*(area("unseen", cover.level, piece) for piece in cover.unseen), *shapes]
    if cover.worst_unseen is not None and not cover.holds:
        shapes.append(point("unseen", cover.level, cover.worst_unseen, f"{unseen_m2(cover):.1f} m²"))
    return Mark(
        criterion="floor",
        title=f"Floor of {room}",
        credit=1.0 if cover.holds else min(1.0, cover.share / cover.target_share),
        weight=weight,
        value=value,
        limit=limit,
        unit="%",
        words=words,
        mend=mend,
        shapes=tuple(shapes),
        firm=not (short and cover.holds),
    )


def _floor_mend(place: Place, cover: Cover, room: str, reference: Json) -> tuple[str, list[Shape]]:
    """The reference stand that shows most of what nobody sees of this room, as the change that would mend it."""
    key = (cover.level, cover.space)
    missing = join([shapely.Polygon(rings[0], rings[1:]) for rings in cover.unseen])
    gains: list[tuple[float, Station]] = []
    for (level, x, y), shows in zip(reference["stations"], reference["shows"], strict=True):
        if level == cover.level and shows.get(f"{level}/{cover.space}", 0.0) > 0.0:
            station = Station(level=level, x=x, y=y)
            part = floor_seen(place, station, only=cover.space).get(key)
            gains.append((0.0 if part is None else float(meet(part, missing).area), station))
    gain_m2, best = max(gains, key=lambda pair: pair[0], default=(0.0, None))
    if best is None or gain_m2 <= SPECK_M2:
        return f"No allowed stand shows much more of {room}; leave its door fully open.", []
    value = 100.0 * cover.share
    brought, _ = percent(value + 100.0 * gain_m2 / cover.floor_m2, value)
    words = f"A station at {spot(best.x, best.y)} would bring it to {brought}."
    return words, [point("missing", best.level, (best.x, best.y))]


def percent(value: float, limit: float) -> tuple[str, str]:
    """Two percentages with as many digits as tell them apart."""
    digits = 0 if f"{value:.0f}" != f"{limit:.0f}" else 1
    return f"{value:.{digits}f} %", f"{limit:.{digits}f} %"


def unseen_m2(cover: Cover) -> float:
    """Floor of a room that nobody sees [m²]."""
    return max(0.0, cover.floor_m2 - cover.seen_m2)


def corner_mark(covers: Sequence[Cover], names: Names) -> Mark | None:
    """How many corners are seen with both their walls; told, never judged. None in a place without corners."""
    rooms = asked(covers)
    corners = [corner for cover in rooms for corner in cover.corners]
    if not corners:
        return None
    whole = sum(corner.stubs == 2 for corner in corners)
    missed = {(cover.level, cover.space): sum(corner.stubs < 2 for corner in cover.corners) for cover in rooms}
    words = f"{whole} of {len(corners)} corners are seen with both their walls."
    if len(corners) - whole == 1:
        (room,) = [names.room(*key) for key, count in missed.items() if count]
        words = f"{words} The other is {in_or_on(room)}."
    elif whole < len(corners):
        words = f"{words}{_where_most(missed, names, 'the others', 'are')}"
    shapes = [
        point("unseen", cover.level, corner.at) for cover in rooms for corner in cover.corners if corner.stubs == 0
    ]
    return Mark("corners", "Corners", 1.0, 0.0, float(whole), float(len(corners)), "", words, "", tuple(shapes))


def _where_most(parts: Mapping[SpaceKey, float], names: Names, what: str, verb: str) -> str:
    """A sentence on the rooms that have most of something, with a space before it; empty where many have as much."""
    whole, top = sum(parts.values()), max(parts.values())
    rooms = [names.room(*key) for key, part in parts.items() if part == top]
    if len(rooms) > ROOMS_NAMED:
        return ""
    if len(rooms) > 1:
        return f" {start(listed(rooms))} have the most of {what}."
    if top == whole:
        return f" All of {what} {verb} {in_or_on(rooms[0])}."
    if top > whole / 2.0:
        return f" Most of {what} {verb} {in_or_on(rooms[0])}."
    return f" More of {what} {verb} {in_or_on(rooms[0])} than in any other room."


def incidence_mark(walls: Sequence[WallsSeen], covers: Sequence[Cover], names: Names, limit_deg: float) -> Mark | None:
    """How much of the wall that is seen is met only at a flat angle; told, never judged. None where none is seen."""
    rooms = {(cover.level, cover.space) for cover in asked(covers)}
    found = [wall for wall in walls if (wall.level, wall.space) in rooms]
    seen_m, flat_m = sum(wall.seen_m for wall in found), sum(wall.flat_m for wall in found)
    if seen_m <= 0.0:
        return None
    value = 100.0 * flat_m / seen_m
    words = (
        f"{value:.0f} % of the wall that is seen is met only at a flat angle, more than {limit_deg:.0f}° off square."
    )
    if round(value) > 0:
        flat = {(wall.level, wall.space): wall.flat_m for wall in found}
        words = f"{words}{_where_most(flat, names, 'it', 'is')}"
    stretches = [(wall.level, a, b) for wall in found for a, b in wall.flat]
    shapes = [line("near", level, a, b, metres(dist(a, b))) for level, a, b in stretches if dist(a, b) >= DRAWN_M]
    return Mark("incidence", "Walls met at a flat angle", 1.0, 0.0, value, None, "%", words, "", tuple(shapes))


def unseen_rooms(covers: Sequence[Cover]) -> list[Cover]:
    """The rooms that miss their target."""
    return [cover for cover in asked(covers) if not cover.holds]


__all__ = ["asked", "corner_mark", "floor_marks", "incidence_mark", "percent", "unseen_m2", "unseen_rooms"]
