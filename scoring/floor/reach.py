"""Whether every room of a plan can be walked to from its entrance.

One walks through doors and passages, over an edge that two spaces share, and over flights. The outside is no way:
a tour whose stations are linked through it cannot be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import STRtree

from scoring.border import Problem
from scoring.floor.drawn import STEP_MAX_M, TOUCH_M, Drawn, floor_at, room
from scoring.floor.plan import OUTSIDE, WALK_KINDS, Plan

SHARED_MIN_M = 0.5
"""A shared edge shorter than this is no way through."""
NEVER_WALKED = frozenset({"pool"})

Node = tuple[int, str]


def walk_graph(plan: Plan, drawn: Sequence[Drawn]) -> dict[Node, set[Node]]:
    """For each (level, space) the spaces that one can step into from it."""
    graph: dict[Node, set[Node]] = {(level.number, id_): set() for level in drawn for id_ in level.spaces}

    def join(a: Node, b: Node) -> None:
        if a in graph and b in graph:
            graph[a].add(b)
            graph[b].add(a)

    for level in drawn:
        for opening in level.level.openings:
            if opening.kind in WALK_KINDS and OUTSIDE not in opening.between:
                join((level.number, opening.between[0]), (level.number, opening.between[1]))
        for a, b in shared_edges(level):
            join((level.number, a), (level.number, b))
    for flight in plan.flights:
        join((flight.foot.level, flight.foot.space), (flight.head.level, flight.head.space))
    return graph


def shared_edges(level: Drawn) -> Iterator[tuple[str, str]]:
    """Pairs of spaces of one level with no wall and no high step between them."""
    items = list(level.spaces.values())
    shapes = [item.shape for item in items]
    if len(shapes) < 2:
        return
    for i, j in STRtree(shapes).query(shapes, predicate="dwithin", distance=TOUCH_M).T:
        if i >= j:
            continue
        a, b = items[i], items[j]
        if abs(floor_at(level, a.value) - floor_at(level, b.value)) > STEP_MAX_M + 1e-3:
            continue
        if a.shape.exterior.intersection(b.shape.buffer(TOUCH_M, join_style="mitre")).length >= SHARED_MIN_M:
            yield a.value.id, b.value.id


def unreachable(plan: Plan, drawn: Sequence[Drawn]) -> Iterator[Problem]:
    """Rooms that no way leads to from the entrance; none while some room is not sound, for ways may run there."""
    graph = walk_graph(plan, drawn)
    start = next((node for node in graph if node[1] == plan.entrance), None)
    if start is None or any(len(level.spaces) < len(level.level.spaces) for level in drawn):
        return
    seen = {start}
    open_ = [start]
    while open_:
        for node in graph[open_.pop()] - seen:
            seen.add(node)
            open_.append(node)
    for level in drawn:
        for id_, item in level.spaces.items():
            if (level.number, id_) not in seen and item.value.use not in NEVER_WALKED:
                words = f"{room(item.value)} cannot be reached from the entrance on foot"
                yield Problem(f"levels[{level.number}].spaces[{item.index}]", words)


__all__ = ["shared_edges", "unreachable", "walk_graph"]
