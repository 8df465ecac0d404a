"""Whether a plan can be a place: every geometric problem of it, with its place in the file and plain words.

`check_plan` runs these checks one after another, each on what is sound so far: outlines, spaces and things here;
openings in `scoring.floor.joins`; flights in `scoring.floor.steps`; ways in `scoring.floor.reach`.
The small lengths below say how exactly a drawing must fit together; they are no limits of the job.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import shapely
from shapely import STRtree
from shapely.geometry import Polygon

from scoring.border import Problem
from scoring.floor.drawn import (
    OVERLAP_MAX_M2,
    TOUCH_M,
    Drawn,
    Numbered,
    ceiling_at,
    crossing_pairs,
    floor_at,
    room,
    slope_heights,
)  # fmt: skip
from scoring.floor.joins import check_openings
from scoring.floor.plan import Edge, Level, Plan, Space, Thing
from scoring.floor.reach import unreachable
from scoring.floor.rings import NEAR_CORNERS_M, check_ring
from scoring.floor.steps import check_flights

GAP_MIN_M = 0.02
"""Thinner than this is neither a wall nor a shared edge."""
CEILING_MIN_M = 0.3
LAYER_MIN_M = 1e-3
"""Things that share less height than this stand on each other, not in each other."""
LEVEL_APART_MIN_M = 1.5
EDGE_OFF_MAX_M = 0.5


def check_plan(plan: Plan) -> list[Problem]:
    """Every geometric problem of a plan, in the order of the file; empty when there is none."""
    problems = list(_check_names(plan))
    drawn: list[Drawn] = []
    for number, level in enumerate(plan.levels):
        found, sound = _check_level(number, level)
        problems += found
        drawn.append(sound)
    problems += _check_storeys(plan, drawn)
    problems += check_openings(plan, drawn)
    problems += check_flights(plan, drawn)
    problems += unreachable(plan, drawn)
    return problems


def _check_names(plan: Plan) -> Iterator[Problem]:
    if not any(space.id == plan.entrance for level in plan.levels for space in level.spaces):
        yield Problem("entrance", f"there is no space {plan.entrance!r} to come in by")
    for number, level in enumerate(plan.levels):
        where = f"levels[{number}]"
        for name, items in (
            ("spaces", level.spaces),
            ("openings", level.openings),
            ("things", level.things),
            ("edges", level.edges),
        ):
            yield from _check_ids(f"{where}.{name}", [item.id for item in items])
    yield from _check_ids("flights", [flight.id for flight in plan.flights])


def _check_ids(where: str, ids: Sequence[str]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, id_ in enumerate(ids):
        if id_ in first:
            yield Problem(f"{where}[{index}].id", f"the id {id_!r} is taken by {where}[{first[id_]}]")
        first.setdefault(id_, index)
        if id_ == "outside":
            yield Problem(f"{where}[{index}].id", "'outside' is what lies beyond the drawing and cannot be an id here")


def _check_level(number: int, level: Level) -> tuple[list[Problem], Drawn]:
    """Problems of one level's spaces, things and edges, and its sound outlines by id."""
    where = f"levels[{number}]"
    problems: list[Problem] = []
    spaces: dict[str, Numbered[Space]] = {}
    for index, space in enumerate(level.spaces):
        at = f"{where}.spaces[{index}]"
        wrong = check_ring(space.outline, f"{at}.outline", room(space))
        problems += wrong
        if not wrong:
            spaces.setdefault(space.id, Numbered(index, space, Polygon(space.outline)))
            problems += _check_ceiling(space, level, at)
    problems += _check_apart(where, list(spaces.values()))
    things: dict[str, list[Numbered[Thing]]] = {}
    problems += _check_things(where, level, spaces, things)
    problems += _check_edges(where, level.edges, spaces)
    return problems, Drawn(number, level, spaces, things)


def _check_ceiling(space: Space, level: Level, where: str) -> Iterator[Problem]:
    if space.outdoor:
        if space.ceiling_m is not None:
            yield Problem(f"{where}.ceiling_m", f"{room(space)}: there is no ceiling outdoors")
        if space.slopes:
            yield Problem(f"{where}.slopes", f"{room(space)}: there is no sloped ceiling outdoors")
        return
    flat = space.ceiling_m if space.ceiling_m is not None else level.ceiling_m
    lowest = min((ceiling_at(space, level, x, y), x, y) for x, y in space.outline)
    if lowest[0] < CEILING_MIN_M:
        words = f"{room(space)}: its ceiling comes down to {lowest[0]:.2f} m at ({lowest[1]:.2f}, {lowest[2]:.2f})"
        yield Problem(f"{where}.slopes", words)
    for index in range(len(space.slopes)):
        if min(slope_heights(space, x, y)[index] for x, y in space.outline) >= flat:
            yield Problem(f"{where}.slopes[{index}]", f"{room(space)}: this slope never comes below the flat ceiling")


def _check_apart(where: str, spaces: Sequence[Numbered[Space]]) -> Iterator[Problem]:
    """Spaces of one level lie side by side: with a shared edge or with a wall between, never over each other."""
    shapes = [item.shape for item in spaces]
    if len(shapes) < 2:
        return
    for i, j in STRtree(shapes).query(shapes, predicate="dwithin", distance=GAP_MIN_M).T:
        if i >= j:
            continue
        a, b = spaces[i], spaces[j]
        gap = a.shape.distance(b.shape)
        if gap > TOUCH_M:
            words = (
                f"{room(a.value)} and {room(b.value)} are {gap * 1000:.1f} mm apart: neither a wall nor a shared edge"
            )
            yield Problem(f"{where}.spaces[{b.index}].outline", words)
            continue
        both = a.shape.intersection(b.shape)
        if both.area > OVERLAP_MAX_M2:
            spot = both.representative_point()
            words = f"{room(a.value)} and {room(b.value)} overlap by {both.area:.3f} m² at ({spot.x:.2f}, {spot.y:.2f})"
            yield Problem(f"{where}.spaces[{b.index}].outline", words)


def _check_things(
    where: str, level: Level, spaces: dict[str, Numbered[Space]], sound: dict[str, list[Numbered[Thing]]]
) -> Iterator[Problem]:
    """Things stand in their space, under its ceiling and clear of each other; ``sound`` takes the good outlines."""
    known = {space.id for space in level.spaces}
    for index, thing in enumerate(level.things):
        at = f"{where}.things[{index}]"
        who = f"{thing.kind} '{thing.name}'"
        if thing.height_m <= thing.base_m:
            words = f"{who}: its top ({thing.height_m:.2f} m) is not above its base ({thing.base_m:.2f} m)"
            yield Problem(f"{at}.height_m", words)
        if thing.space not in known:
            yield Problem(f"{at}.space", f"{who}: there is no space {thing.space!r} on this level")
        wrong = check_ring(thing.outline, f"{at}.outline", who)
        yield from wrong
        if wrong or thing.space not in spaces:
            continue
        item = Numbered(index, thing, Polygon(thing.outline))
        home = spaces[thing.space]
        sound.setdefault(thing.space, []).append(item)
        if not home.shape.covers(item.shape):
            out = item.shape.difference(home.shape)
            if out.area > OVERLAP_MAX_M2:
                spot = out.representative_point()
                words = f"{who} reaches out of {room(home.value)} at ({spot.x:.2f}, {spot.y:.2f})"
                yield Problem(f"{at}.outline", words)
        ceiling = min(ceiling_at(home.value, level, x, y) for x, y in thing.outline)
        if thing.height_m > ceiling + 1e-3:
            words = f"{who}: its top ({thing.height_m:.2f} m) is above the ceiling ({ceiling:.2f} m)"
            yield Problem(f"{at}.height_m", words)
    for items in sound.values():
        for i, j in crossing_pairs([item.shape for item in items]):
            a, b = items[i], items[j]
            if min(a.value.height_m, b.value.height_m) - max(a.value.base_m, b.value.base_m) >= LAYER_MIN_M:
                words = f"{a.value.kind} '{a.value.name}' and {b.value.kind} '{b.value.name}' stand in each other"
                yield Problem(f"{where}.things[{b.index}].outline", words)


def _check_edges(where: str, edges: Sequence[Edge], spaces: dict[str, Numbered[Space]]) -> Iterator[Problem]:
    for index, edge in enumerate(edges):
        line = shapely.linestrings(edge.line)
        if line.length < NEAR_CORNERS_M:
            yield Problem(f"{where}.edges[{index}].line", f"edge '{edge.name}' has no length")
        elif spaces and min(item.shape.distance(line) for item in spaces.values()) > EDGE_OFF_MAX_M:
            yield Problem(f"{where}.edges[{index}].line", f"edge '{edge.name}' lies at no space of this level")


def _check_storeys(plan: Plan, drawn: Sequence[Drawn]) -> Iterator[Problem]:
    """Levels rise in order, and no room reaches up into a room over it."""
    for number, (low, high) in enumerate(zip(plan.levels, plan.levels[1:], strict=False), start=1):
        if high.elevation_m - low.elevation_m < LEVEL_APART_MIN_M:
            words = f"level '{high.name}' does not lie above '{low.name}'; levels stand in order, lowest first"
            yield Problem(f"levels[{number}].elevation_m", words)
    for low_drawn, high_drawn in combinations(drawn, 2):
        for below in low_drawn.spaces.values():
            if below.value.outdoor:
                continue
            floor = floor_at(low_drawn, below.value)
            for above in high_drawn.spaces.values():
                over = floor_at(high_drawn, above.value)
                flat = below.value.ceiling_m if below.value.ceiling_m is not None else low_drawn.level.ceiling_m
                if floor + flat <= over + 1e-3 or not below.shape.intersects(above.shape):
                    continue
                both = below.shape.intersection(above.shape)
                if both.area <= OVERLAP_MAX_M2 or both.geom_type != "Polygon":
                    continue
                top = floor + max(ceiling_at(below.value, low_drawn.level, x, y) for x, y in both.exterior.coords)
                if top > over + 1e-3:
                    words = (
                        f"{room(below.value)}: its ceiling at {top:.2f} m reaches into {room(above.value)} over it, "
                        f"whose floor lies at {over:.2f} m"
                    )
                    yield Problem(f"levels[{low_drawn.number}].spaces[{below.index}].ceiling_m", words)


__all__ = ["check_plan"]
