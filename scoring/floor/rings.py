"""Whether one outline is a simple polygon: corners apart, an area, no crossing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import Polygon

from scoring.border import Problem
from scoring.floor.plan import Point

NEAR_CORNERS_M = 0.005
"""Two corners of one outline nearer than this are one corner drawn twice."""
AREA_MIN_M2 = 1e-4
CROSSINGS_MAX = 5
"""Of one outline, so many crossings are named."""


def check_ring(ring: Sequence[Point], where: str, who: str) -> list[Problem]:
    """Problems of one outline: corners drawn twice, no area, crossing or touching itself."""
    corners = np.asarray(ring, dtype=np.float64)
    count = len(corners)
    problems = []
    steps = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    for index in np.flatnonzero(steps < NEAR_CORNERS_M):
        x, y = corners[index]
        next_ = (int(index) + 1) % count
        words = f"{who}: corners {index} and {next_} at ({x:.2f}, {y:.2f}) are {steps[index] * 1000:.1f} mm apart"
        problems.append(Problem(f"{where}[{next_}]", words))
    if problems:
        return problems
    polygon = Polygon(corners)
    if polygon.is_valid and polygon.area >= AREA_MIN_M2:
        return []
    for x, y, corner in _crossings(corners)[:CROSSINGS_MAX]:
        problems.append(Problem(f"{where}[{corner}]", f"{who}: its outline crosses itself at ({x:.2f}, {y:.2f})"))
    return problems or [Problem(where, f"{who}: its outline has no area")]


def _crossings(corners: NDArray[np.float64]) -> list[tuple[float, float, int]]:
    """Where sides that are not neighbours meet, or neighbours run back over each other: (x, y, first corner)."""
    count = len(corners)
    sides = shapely.linestrings(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1))
    found = []
    for i, j in STRtree(sides).query(sides, predicate="intersects").T:
        if i >= j:
            continue
        meeting = sides[i].intersection(sides[j])
        neighbours = j - i == 1 or (i == 0 and j == count - 1)
        if neighbours and meeting.geom_type == "Point":
            continue
        spot = meeting.representative_point()
        found.append((float(spot.x), float(spot.y), int(i)))
    return sorted(found, key=lambda item: item[2])


__all__ = ["NEAR_CORNERS_M", "check_ring"]
