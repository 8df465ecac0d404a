"""A place: a plan with a kit and a standard, prepared once and asked many times.

Everything that depends on the plan alone is made when it is first needed and kept, so that a survey of moved
stations costs only what the stations cost. Safe to share between threads; what it answers never depends on
what was asked before.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.overlay import ALONE, quiet
from scoring.floor.plan import Plan, Station
from scoring.floor.shapes import Hole, Room, Run, Storey, storeys
from scoring.floor.stairs import runs
from scoring.rig.kit import Kit
from scoring.standard import Standard

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A plan seen with one kit under one standard. Make it with ``prepare``."""

    plan: Plan
    kit: Kit
    standard: Standard
    storeys: tuple[Storey, ...]
    runs: tuple[Run, ...]
    _kept: dict[Hashable, Any] = field(default_factory=dict, repr=False)

    def keep(self, key: Hashable, make: Callable[[], T]) -> T:
        """What is kept under that key; made on the first call."""
        if key not in self._kept:
            with ALONE:
                if key not in self._kept:
                    self._kept[key] = make()
        return cast(T, self._kept[key])

    @quiet
    def room(self, station: Station) -> Room | None:
        """The space that a station stands in; None in a wall, in a doorway, on a flight and off the plan."""
        if station.level >= len(self.storeys):
            return None
        rooms = self.storeys[station.level].rooms
        polygons, wells = self.keep(("polygons", station.level), lambda: self._polygons(station.level))
        hit = shapely.contains_xy(polygons, station.x, station.y)
        if not hit.any() or shapely.contains_xy(wells, station.x, station.y).any():
            return None
        return rooms[int(hit.argmax())]

    def _polygons(self, level: int) -> tuple[NDArray[Any], NDArray[Any]]:
        """Of the rooms and of the flights that meet a level, prepared."""
        rooms = np.array([room.polygon for room in self.storeys[level].rooms], dtype=object)
        runs = (run for run in self.runs if level in (run.flight.foot.level, run.flight.head.level))
        wells = np.array([run.polygon for run in runs], dtype=object)
        shapely.prepare(rooms)
        shapely.prepare(wells)
        return rooms, wells

    def lens_z(self, station: Station) -> float | None:
        """Absolute height of the lens at a station [m]: over a space's floor or a doorway's; None elsewhere."""
        return self.lens_over(self.room(station), station)

    def lens_over(self, room: Room | None, station: Station) -> float | None:
        """The same where the space that the station stands in is known."""
        if room is not None:
            return room.floor + self.kit.lens_height_m
        hole = self.doorway(station)
        return None if hole is None else hole.floor + self.kit.lens_height_m

    @quiet
    def doorway(self, station: Station) -> Hole | None:
        """The door or passage in whose wall a station stands; None when it stands in none."""
        if station.level >= len(self.storeys):
            return None
        ways = [hole for hole in self.storeys[station.level].holes if hole.walkable]
        polygons = self.keep(("ways", station.level), lambda: np.array([hole.polygon for hole in ways], dtype=object))
        hit = shapely.contains_xy(polygons, station.x, station.y)
        return ways[int(hit.argmax())] if hit.any() else None


def prepare(plan: Plan, kit: Kit, standard: Standard) -> Place:
    """Prepare a plan for a kit and a standard."""
    return Place(plan, kit, standard, storeys(plan), runs(plan))


__all__ = ["Place", "prepare"]
