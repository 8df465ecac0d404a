"""Ground, walls, openings and flights: what stays when the furniture is carried out.

A plan holds clear spaces only; wall is what lies between them. It is found here by growing all indoor spaces
by the thickness of the outer wall and taking the spaces and openings away again.
"""

from __future__ import annotations

import math
from statistics import median

import numpy as np
from shapely import LineString, Point, Polygon, union_all
from shapely.geometry.base import BaseGeometry

from scoring.floor.plan import OUTSIDE, Flight, Level, Opening, Plan, Space
from trainer.library.drawing import pen

PLAIN_WALL_M = 0.25
"""Drawn thickness of an outer wall when no opening tells it."""
SHAFT_M = 0.45
"""Gaps between rooms up to twice this wide are drawn as solid wall."""


def outer_wall_m(level: Level) -> float:
    """Thickness of the outer wall, as its openings tell [m]."""
    depths = [o.depth_m for o in level.openings if OUTSIDE in o.between]
    return median(depths) if depths else PLAIN_WALL_M


def opening_quad(opening: Opening, extra_m: float = 0.0) -> Polygon:
    """The hole in the wall as seen from above."""
    return LineString(opening.jambs).buffer(opening.depth_m / 2 + extra_m, cap_style="flat")


def wall_region(plan: Plan, index: int) -> BaseGeometry:
    """All wall of a level: outer and inner, less openings, wells and outdoor zones."""
    level = plan.levels[index]
    inside = [Polygon(s.outline) for s in level.spaces if not s.outdoor]
    wells = [Polygon(f.outline) for f in plan.flights if index in (f.foot.level, f.head.level)]
    if not inside:
        return Polygon()
    thick = outer_wall_m(level)
    reach = max(SHAFT_M, thick)
    clear = union_all(inside + wells)
    hull = clear.buffer(reach, join_style="mitre").buffer(thick - reach, join_style="mitre")
    outdoors = [Polygon(s.outline) for s in level.spaces if s.outdoor]
    holes = [opening_quad(o, 0.002) for o in level.openings]
    return hull.difference(union_all([clear, *outdoors, *holes]))


def ground(level: Level, name: str) -> str:
    """Floors: plain paper indoors, vellum on landings, stipple in yards, ripples in water."""
    out = []
    for space in level.spaces:
        out.append(pen.path(pen.ring(space.outline), f"ground ground-{space.use}"))
        pattern = {"yard": "stipple", "path": "stipple", "pool": "water", "drive": "gravel", "road": "gravel"}
        if texture := pattern.get(space.use):
            out.append(pen.path(pen.ring(space.outline), "texture", fill=f"url(#{name}-{texture})"))
    return "".join(out)


def _spaces(level: Level) -> dict[str, Space]:
    return {space.id: space for space in level.spaces}


def _swing(opening: Opening, level: Level) -> str:
    """The leaf of a door and the quarter circle it sweeps."""
    leaf = opening.leaf
    if leaf is None:
        return ""
    hinge = np.array(opening.jambs[leaf.hinge])
    shut = np.array(opening.jambs[1 - leaf.hinge]) - hinge
    side = np.array([-shut[1], shut[0]]) / (np.hypot(*shut) or 1.0)
    into = _spaces(level).get(leaf.into)
    middle = hinge + shut / 2
    if into is not None:
        area = Polygon(into.outline)
        reach = side * (opening.depth_m / 2 + 0.03)
        if area.distance(Point(middle + reach)) > area.distance(Point(middle - reach)):
            side = -side
    # The leaf hangs on the face of the wall that it opens to.
    hinge = hinge + side * opening.depth_m / 2
    turn = math.radians(leaf.open_deg)
    width = float(np.hypot(*shut))
    along = shut / (width or 1.0)

    def at(angle: float, radius: float = width) -> tuple[float, float]:
        point = hinge + radius * (along * math.cos(angle) + side * math.sin(angle))
        return float(point[0]), float(point[1])

    sweep = max(turn, math.radians(90))
    steps = max(2, round(math.degrees(sweep) / 7.5))
    arc = pen.ring((at(sweep * i / steps) for i in range(steps + 1)), closed=False)
    tip = at(turn)
    across = np.array([-math.sin(turn), math.cos(turn)])
    back = -(along * across[0] + side * across[1]) * leaf.thickness_m
    quad = [tuple(hinge), tip, tuple(np.array(tip) + back), tuple(hinge + back)]
    return pen.path(arc, "swing") + pen.path(pen.ring(quad), "leaf")


def openings(level: Level) -> str:
    """Doors with jamb ticks and leaf, passages, windows with three lines, glass with two."""
    out = []
    for opening in level.openings:
        a, b = (np.array(j) for j in opening.jambs)
        along = b - a
        normal = np.array([-along[1], along[0]]) / (np.hypot(*along) or 1.0)
        half = normal * opening.depth_m / 2

        def line(shift: np.ndarray, start: np.ndarray = a, end: np.ndarray = b) -> str:
            return pen.ring([(start + shift).tolist(), (end + shift).tolist()], closed=False)

        ticks = "".join(pen.ring([(j - half).tolist(), (j + half).tolist()], closed=False) for j in (a, b))
        quad = pen.region(opening_quad(opening))
        if opening.kind == "window":
            panes = line(half) + line(0 * half) + line(-half)
            out.append(pen.path(quad, "gap") + pen.path(panes + ticks, "pane"))
        elif opening.kind == "glass":
            panes = line(half * 0.35) + line(-half * 0.35)
            out.append(pen.path(quad, "gap") + pen.path(panes, "glass") + pen.path(ticks, "jamb"))
        else:
            sill = line(half) + line(-half)
            out.append(pen.path(sill, "threshold") + pen.path(ticks, "jamb") + _swing(opening, level))
    return "".join(out)


def _treads(flight: Flight) -> tuple[list[tuple[np.ndarray, np.ndarray]], np.ndarray, np.ndarray]:
    f0, f1 = (np.array(p) for p in flight.foot.edge)
    h0, h1 = (np.array(p) for p in flight.head.edge)
    if np.hypot(*(f0 - h0)) + np.hypot(*(f1 - h1)) > np.hypot(*(f0 - h1)) + np.hypot(*(f1 - h0)):
        h0, h1 = h1, h0
    shares = [i / max(1, flight.risers - 1) for i in range(flight.risers)]
    return [(f0 + (h0 - f0) * t, f1 + (h1 - f1) * t) for t in shares], (f0 + f1) / 2, (h0 + h1) / 2


def flights(plan: Plan, index: int, scale: float) -> str:
    """Treads and an arrow that points up; seen from the head's level the arrow still points up, and says so."""
    out = []
    for flight in plan.flights:
        if index not in (flight.foot.level, flight.head.level):
            continue
        treads, foot, head = _treads(flight)
        lines = "".join(pen.ring([a.tolist(), b.tolist()], closed=False) for a, b in treads)
        run = head - foot
        length = float(np.hypot(*run)) or 1.0
        u = run / length
        v = np.array([-u[1], u[0]])
        start, tip = foot + u * 0.12 * length, head - u * 0.08 * length
        barbs = [(tip - u * 0.22 + v * 0.1).tolist(), tip.tolist(), (tip - u * 0.22 - v * 0.1).tolist()]
        arrow = pen.ring([start.tolist(), tip.tolist()], closed=False) + pen.ring(barbs, closed=False)
        below = " below" if index == flight.head.level and flight.foot.level != index else ""
        dot = pen.tag("circle", r=3.5, class_="arrow-start")
        up = pen.words("up", "words small halo", x=7, y=4)
        label = pen.fixed(start.tolist(), dot + up, scale, class_="label")
        out.append(
            pen.tag("g", pen.path(pen.ring(flight.outline), "flight") + pen.path(lines, "tread")
                    + pen.path(arrow, "arrow") + label, class_=f"stair{below}")
        )  # fmt: skip
    return "".join(out)


def edges(level: Level) -> str:
    """Drops and water's edges: a rail where guarded, teeth where not."""
    out = []
    for edge in level.edges:
        kind = "edge-guarded" if edge.guarded else "edge-open"
        out.append(pen.path(pen.ring(edge.line, closed=False), f"edge {kind}"))
    return "".join(out)
