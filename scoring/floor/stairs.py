"""Flights as geometry: the plane through their nosings, their treads as blocks, the height free over them."""

from __future__ import annotations

import math

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from scoring.floor.plan import Flight, Plan
from scoring.floor.shapes import Run, Solid, polygon_of, the


def runs(plan: Plan) -> tuple[Run, ...]:
    """The geometry of all flights, in order."""
    return tuple(_run(plan, flight) for flight in plan.flights)


def _run(plan: Plan, flight: Flight) -> Run:
    ends = []
    for end in (flight.foot, flight.head):
        level = plan.levels[end.level]
        space = plan.space(end.level, end.space)
        (ax, ay), (bx, by) = end.edge
        floor = level.elevation_m + space.floor_m
        ceiling = floor + (space.ceiling_m or level.ceiling_m)
        ends.append(((ax + bx) / 2.0, (ay + by) / 2.0, floor, max(ceiling, level.elevation_m + level.ceiling_m)))
    (fx, fy, foot, _), (hx, hy, head, top) = ends
    long2 = max((hx - fx) ** 2 + (hy - fy) ** 2, 1e-12)
    riser = (head - foot) / flight.risers
    rise = head - foot - riser
    gx, gy = rise * (hx - fx) / long2, rise * (hy - fy) / long2
    treads = (foot + riser - gx * fx - gy * fy, gx, gy)
    polygon = polygon_of(flight.outline)
    steps = _steps(flight, polygon, (fx, fy), (hx, hy), foot, riser)
    return Run(flight, polygon, treads, foot, head, top, steps)


def _steps(
    flight: Flight,
    polygon: Polygon,
    foot_at: tuple[float, float],
    head_at: tuple[float, float],
    foot: float,
    riser: float,
) -> tuple[Solid, ...]:
    """Each tread as a block on the floor of the foot."""
    count = flight.risers - 1
    if count < 1:
        return ()
    ux, uy = (head_at[0] - foot_at[0]) / count, (head_at[1] - foot_at[1]) / count
    going = math.hypot(ux, uy)
    if going == 0.0:
        return ()
    wx, wy = -uy / going * 1e3, ux / going * 1e3
    blocks = []
    for i in range(count):
        near = i if i > 0 else -1e3 / going
        far = i + 1 if i < count - 1 else count + 1e3 / going
        ax, ay = foot_at[0] + near * ux, foot_at[1] + near * uy
        bx, by = foot_at[0] + far * ux, foot_at[1] + far * uy
        strip = Polygon([(ax - wx, ay - wy), (bx - wx, by - wy), (bx + wx, by + wy), (ax + wx, ay + wy)])
        for part in shapely.get_parts(polygon.intersection(strip)):
            if part.geom_type == "Polygon" and part.area > 1e-9:
                top = foot + (i + 1) * riser
                blocks.append(Solid(orient(part), foot, top, the(flight.name), flight.id, False))
    return tuple(blocks)


__all__ = ["runs"]
