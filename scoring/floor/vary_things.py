"""Furniture in moved rooms: sizes stay, places follow the walls; then some of it is moved about.

Things that touch are one *group* and move as one; a chair belongs to its table. A group at a wall stays at it;
a free one keeps its share of the room; a counter or a wardrobe from wall to wall is built in to measure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from random import Random

from shapely.geometry import Polygon

from scoring.floor.plan import Level, Plan, Point, Space, Thing
from scoring.floor.vary_rooms import Axis, Lines, reach

AT_WALL_M = 0.15
"""A thing no farther than this from a wall stands at it."""
TOUCH_M = 0.03
CHAIR_AT_M = 0.45
"""A chair no farther than this from a table belongs to it."""
TABLES = frozenset({"table", "desk", "island", "counter"})
BUILT_IN = frozenset({"counter", "wall-cupboard", "wardrobe", "shelf"})
"""Built in to measure: these stretch when they reach from wall to wall."""
LINEAR = frozenset({"beam", "fence", "hedge", "rail"})
"""These follow the lines of the drawing, corner by corner."""
MOVABLE = frozenset({
    "sofa", "armchair", "table", "chair", "desk", "bed", "cot", "wardrobe", "shelf", "sideboard", "plant", "piano",
    "box", "lamp", "bench", "bin",
})  # fmt: skip
SLIDE_MAX_M = 1.2
TRIES = 6

Group = tuple[int, ...]
"""Indices of things of one room."""
Fair = Callable[[Level, Level, Space], bool]
"""Whether a changed level may stand in for the old one, as far as a room of it goes."""


def groups(things: Sequence[Thing]) -> list[Group]:
    """Things of one room that stand together, each once."""
    shapes = [Polygon(thing.outline) for thing in things]
    parent = list(range(len(things)))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    for i, a in enumerate(things):
        for j in range(i):
            b = things[j]
            pair = {a.kind, b.kind}
            near = CHAIR_AT_M if "chair" in pair and pair & TABLES else TOUCH_M
            if shapes[i].distance(shapes[j]) <= near:
                parent[root(i)] = root(j)
    found: dict[int, list[int]] = {}
    for i in range(len(things)):
        found.setdefault(root(i), []).append(i)
    return [tuple(members) for members in found.values()]


def carried(plan: Plan, bent: Plan, across: Lines, up: Lines) -> Plan:
    """The re-dimensioned plan with the things of the old one put back in sense: right sizes, at their walls."""
    levels = []
    for old, new in zip(plan.levels, bent.levels, strict=True):
        kept: dict[str, Thing] = {}
        for space in old.spaces:
            things = [thing for thing in old.things if thing.space == space.id]
            for thing in _carried_in(space, things, (across, up)):
                kept[thing.id] = thing
        levels.append(replace(new, things=tuple(kept.get(thing.id, thing) for thing in new.things)))
    return replace(bent, levels=tuple(levels))


def _carried_in(space: Space, things: list[Thing], lines: tuple[Lines, Lines]) -> Iterable[Thing]:
    placed = [[list(point) for point in thing.outline] for thing in things]
    for axis in (0, 1):
        line = lines[axis]
        whole = [i for i, thing in enumerate(things) if thing.kind in BUILT_IN and _spans(space, thing, axis)]
        for i, thing in enumerate(things):
            if thing.kind in LINEAR:
                for corner, point in zip(placed[i], thing.outline, strict=True):
                    corner[axis] = line.at(point[axis])
        for i in whole:
            _stretch(space, things[i], axis, line, placed[i])
        rest = [i for i, thing in enumerate(things) if i not in whole and thing.kind not in LINEAR]
        for group in groups([things[i] for i in rest]):
            members = [rest[k] for k in group]
            shift = _group_shift(space, [things[i] for i in members], axis, line)
            for i in members:
                for corner, point in zip(placed[i], things[i].outline, strict=True):
                    corner[axis] = point[axis] + shift
    for i, thing in enumerate(things):
        yield replace(thing, outline=tuple((round(x, 6), round(y, 6)) for x, y in placed[i]))


def walls_about(space: Space, thing: Thing, axis: Axis) -> tuple[float, float]:
    """Where the room's walls stand before and after a thing along an axis, at the height of its middle [m]."""
    low, high = reach(thing.outline, axis)
    across = sum(reach(thing.outline, 1 - axis)) / 2.0
    middle = (low + high) / 2.0
    hits = sorted(_crossings(space.outline, axis, across))
    before = [hit for hit in hits if hit <= middle]
    after = [hit for hit in hits if hit > middle]
    return (before[-1] if before else low), (after[0] if after else high)


def _crossings(corners: Sequence[Point], axis: Axis, across: float) -> Iterable[float]:
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        p, q = a[1 - axis], b[1 - axis]
        if (p <= across) != (q <= across):
            yield a[axis] + (b[axis] - a[axis]) * (across - p) / (q - p)


def _spans(space: Space, thing: Thing, axis: Axis) -> bool:
    low, high = reach(thing.outline, axis)
    before, after = walls_about(space, thing, axis)
    return low - before <= AT_WALL_M and after - high <= AT_WALL_M


def _stretch(space: Space, thing: Thing, axis: Axis, line: Lines, corners: list[list[float]]) -> None:
    low, high = reach(thing.outline, axis)
    before, after = walls_about(space, thing, axis)
    new_low, new_high = line.at(before) + low - before, line.at(after) - (after - high)
    for corner, point in zip(corners, thing.outline, strict=True):
        corner[axis] = new_low + (new_high - new_low) * (point[axis] - low) / (high - low)


def _group_shift(space: Space, members: Sequence[Thing], axis: Axis, line: Lines) -> float:
    """How far a group goes along an axis when the walls move [m]."""
    gaps = []
    for thing in members:
        low, high = reach(thing.outline, axis)
        before, after = walls_about(space, thing, axis)
        gaps.append((low - before, before, after - high, after))
    gap_low, wall_low = min((gap[0], gap[1]) for gap in gaps)
    gap_high, wall_high = min((gap[2], gap[3]) for gap in gaps)
    shift_low, shift_high = line.at(wall_low) - wall_low, line.at(wall_high) - wall_high
    if gap_low <= AT_WALL_M and gap_low <= gap_high:
        return shift_low
    if gap_high <= AT_WALL_M:
        return shift_high
    share = gap_low / (gap_low + gap_high)
    return round(shift_low + (shift_high - shift_low) * share, 3)


def rearranged(level: Level, space: Space, rng: Random, fair: Fair) -> Level:
    """The level with some of a room's furniture moved: along its wall, or about its free place.

    A move stays only if ``fair`` says so of the level that it makes.
    """
    indices = [i for i, thing in enumerate(level.things) if thing.space == space.id]
    things = [level.things[i] for i in indices]
    for group in groups(things):
        members = [indices[k] for k in group]
        if any(level.things[i].kind not in MOVABLE for i in members) or rng.random() < 0.25:
            continue
        for _ in range(TRIES):
            dx, dy = _draw_move(space, [level.things[i] for i in members], rng)
            if (dx, dy) == (0.0, 0.0):
                continue
            tried = _pushed(level, members, dx, dy)
            if fair(level, tried, space):
                level = tried
                break
    return level


def _draw_move(space: Space, members: Sequence[Thing], rng: Random) -> tuple[float, float]:
    """A move in whole 5 cm; across a wall that the group stands at it does not move."""
    move = []
    for axis in (0, 1):
        at_wall = False
        for thing in members:
            low, high = reach(thing.outline, axis)
            before, after = walls_about(space, thing, axis)
            at_wall = at_wall or low - before <= AT_WALL_M or after - high <= AT_WALL_M
        move.append(0.0 if at_wall else round(rng.uniform(-SLIDE_MAX_M, SLIDE_MAX_M) * 20.0) / 20.0)
    return move[0], move[1]


def _pushed(level: Level, members: Sequence[int], dx: float, dy: float) -> Level:
    things = list(level.things)
    for i in members:
        outline = tuple((round(x + dx, 6), round(y + dy, 6)) for x, y in things[i].outline)
        things[i] = replace(things[i], outline=outline)
    return replace(level, things=tuple(things))


__all__ = ["Fair", "carried", "groups", "rearranged", "walls_about"]
