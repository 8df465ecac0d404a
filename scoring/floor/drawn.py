"""The sound part of a plan while it is being checked: outlines that are good polygons, by id."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from shapely import STRtree
from shapely.geometry import Polygon

from scoring.floor.plan import Level, Space, Thing

T = TypeVar("T", Space, Thing)

OVERLAP_MAX_M2 = 1e-4
"""Rounding may let two outlines overlap by this much."""
TOUCH_M = 2e-6
"""Outlines that meet must meet this exactly; a drawing keeps six decimals where a wall runs aslant."""
STEP_MAX_M = 0.196
"""Riser: International Residential Code R311.7 (2018), read second-hand. It teaches; it is no code check."""


@dataclass(frozen=True, slots=True)
class Numbered(Generic[T]):
    """A space or thing whose outline is sound, with its index in the file."""

    index: int
    value: T
    shape: Polygon


@dataclass(frozen=True, slots=True)
class Drawn:
    """One level and its sound spaces."""

    number: int
    level: Level
    spaces: dict[str, Numbered[Space]]
    things: dict[str, list[Numbered[Thing]]]
    """By the id of the space they stand in."""


def crossing_pairs(shapes: Sequence[Polygon]) -> list[tuple[int, int]]:
    """Pairs i < j of shapes that overlap by more than rounding, in order."""
    if len(shapes) < 2:
        return []
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T
    return sorted(
        (int(i), int(j)) for i, j in pairs if i < j and shapes[i].intersection(shapes[j]).area > OVERLAP_MAX_M2
    )


def room(space: Space) -> str:
    """A space in words."""
    return f"room '{space.name}'" if not space.outdoor else f"zone '{space.name}'"


def floor_at(drawn: Drawn, space: Space) -> float:
    """Height of a space's floor over the plan's zero [m]."""
    return drawn.level.elevation_m + space.floor_m


def ceiling_at(space: Space, level: Level, x: float, y: float) -> float:
    """Clear height over a space's floor at a point [m]; infinite in the open."""
    flat = math.inf if space.outdoor else space.ceiling_m if space.ceiling_m is not None else level.ceiling_m
    return min([flat, *slope_heights(space, x, y)])


def slope_heights(space: Space, x: float, y: float) -> list[float]:
    """Height of each of a space's slopes over its floor at a point [m]."""
    heights = []
    for slope in space.slopes:
        toward = math.radians(slope.toward_deg)
        along = (x - slope.at[0]) * math.cos(toward) + (y - slope.at[1]) * math.sin(toward)
        heights.append(slope.height_m - along * math.tan(math.radians(slope.fall_deg)))
    return heights


__all__ = [
    "OVERLAP_MAX_M2", "STEP_MAX_M", "TOUCH_M", "Drawn", "Numbered", "ceiling_at", "crossing_pairs", "floor_at", "room",
    "slope_heights",
]  # fmt: skip
