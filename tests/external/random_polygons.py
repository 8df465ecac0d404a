"""Random polygons with holes for comparing sight with outside programs: star outlines, quadrilateral holes."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Point, Polygon

from scoring.floor.bands import walls
from scoring.floor.sight import Array

MARGIN_M = 0.01
"""Query points keep this far from every wall: there, all programs agree what inside means."""


def starry(rng: np.random.Generator, corners: int, holes: int) -> Polygon:
    """A star-shaped outline of that many corners about (0, 0), with up to so many separate holes."""
    while True:
        turns = np.sort(rng.uniform(0.0, 2.0 * math.pi, corners))
        if np.diff(np.append(turns, turns[0] + 2.0 * math.pi)).max() < 2.5:
            break
    far = rng.uniform(4.0, 10.0, corners)
    outline = Polygon(np.column_stack([far * np.cos(turns), far * np.sin(turns)]))
    room = outline.buffer(-0.02)
    made: list[Polygon] = []
    for _ in range(holes * 40):
        if len(made) == holes:
            break
        middle = rng.uniform(-8.0, 8.0, 2)
        size = rng.uniform(0.05, 0.8 if holes < 50 else 0.3)
        turns = np.sort(rng.uniform(0.0, 2.0 * math.pi, 4))
        hole = Polygon(np.column_stack([middle[0] + size * np.cos(turns), middle[1] + size * np.sin(turns)]))
        if hole.area > 1e-3 * size and room.contains(hole) and all(hole.distance(other) > 0.02 for other in made):
            made.append(hole)
    return Polygon(outline.exterior.coords, [list(hole.exterior.coords) for hole in made])


def edges(polygon: Polygon) -> Array:
    """Its boundary as walls."""
    return walls(polygon)


def inner_points(rng: np.random.Generator, polygon: Polygon, count: int) -> list[tuple[float, float]]:
    """Points inside it, off every wall."""
    found: list[tuple[float, float]] = []
    while len(found) < count:
        x, y = rng.uniform(-9.0, 9.0, 2)
        if polygon.contains(Point(x, y)) and polygon.boundary.distance(Point(x, y)) > MARGIN_M:
            found.append((float(x), float(y)))
    return found


__all__ = ["edges", "inner_points", "starry"]
