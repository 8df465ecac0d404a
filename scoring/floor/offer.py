"""What a list of stands has to offer a place: the floor each shows, the best of all together, and the demand.

Every floor that has to be shown is cut into cells (a grid, clipped to the floor). A stand's share of a cell is the
exact area of it that the stand sees over the cell's area; see ``demand`` for what follows from that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.cover import SpaceKey, floor_seen, floors, join, target_share
from scoring.floor.demand import Bools, Demand, Floats, Ints
from scoring.floor.place import Place
from scoring.floor.plan import Station

CELLS = 140
"""About so many cells to a floor ..."""
CELL_LEAST_M, CELL_MOST_M = 0.15, 0.7
"""... but none smaller or larger than this [m]."""

SPARE_SHARE = 0.3
"""A margin takes no more than this share of what the stands could show beyond the target."""

SPECK_M2 = 1e-7

Views = Sequence[dict[SpaceKey, shapely.Geometry]]
"""Per stand: the exact floor it shows, by space."""


@dataclass(frozen=True, slots=True)
class Offer:
    """The floors that are asked for, with their targets, and what each stand shows of every cell of them."""

    keys: tuple[SpaceKey, ...]
    target_m2: Floats
    views: Views
    shares: Floats
    area_m2: Floats
    room: Ints

    def demand(self, links: Bools) -> Demand:
        """The abstract problem under these links, with cells counted at their most: for bounds."""
        return Demand(self.shares, self.area_m2, self.room, self.target_m2, links)

    def likely(self, links: Bools, margin: float) -> Demand:
        """The same problem with every cell seen wholly or not at all, whichever is nearer, and with that share of
        each floor to spare: an estimate without bias, to look for answers that exact area then judges."""
        seen = (self.shares > 0.5).astype(np.float64)
        floor = np.bincount(self.room, weights=self.area_m2, minlength=len(self.keys))
        likely = Demand(seen, self.area_m2, self.room, self.target_m2, links)
        most = likely.shown_m2(range(likely.stands))
        # Never all that the stands have left to give: the last of it takes nearly every stand there is.
        spare = np.minimum(margin * floor, SPARE_SHARE * np.maximum(most - self.target_m2, 0.0))
        target = np.minimum(self.target_m2 + spare, most * (1.0 - 1e-9))
        return Demand(seen, self.area_m2, self.room, target, links)

    def shown_m2(self, chosen: Sequence[int], room: int) -> float:
        """Exact area of one asked floor that the chosen stands show together [m²]."""
        parts = [self.views[s][self.keys[room]] for s in chosen if self.keys[room] in self.views[s]]
        return float(join(parts).area) if parts else 0.0

    def missed(self, chosen: Sequence[int]) -> list[int]:
        """The asked floors whose target the chosen stands miss on exact area."""
        rooms = range(len(self.keys))
        return [g for g in rooms if self.shown_m2(chosen, g) < self.target_m2[g] - 1e-9]


def views_of(place: Place, stands: Sequence[Station]) -> Views:
    """The exact floor that each stand shows."""
    return [floor_seen(place, stand) for stand in stands]


def best_of(place: Place, views: Views) -> dict[str, float]:
    """Per "level/space": the share of its floor that all these views show together, on exact area."""
    found: dict[str, float] = {}
    for level in range(len(place.storeys)):
        every = floors(place, level)
        for room, area in zip(every.rooms, every.areas, strict=True):
            key = (level, room.space.id)
            parts = [view[key] for view in views if key in view]
            seen = float(join(parts).area) if parts else 0.0
            found[f"{level}/{room.space.id}"] = min(1.0, seen / area.area) if area.area > 0.0 else 1.0
    return found


def offer(place: Place, views: Views, best_share: dict[str, float]) -> Offer:
    """What these views offer against the targets of the standard."""
    keys: list[SpaceKey] = []
    targets: list[float] = []
    blocks: list[Floats] = []
    areas: list[Floats] = []
    rooms: list[Ints] = []
    for level in range(len(place.storeys)):
        every = floors(place, level)
        for room, area in zip(every.rooms, every.areas, strict=True):
            key = (level, room.space.id)
            target = target_share(place, room, best_share[f"{level}/{room.space.id}"]) * area.area
            if not room.space.cover or target <= 0.0:
                continue
            cells = cells_of(area)
            size = shapely.area(cells)
            blocks.append(shares_of(cells, size, [view.get(key) for view in views]))
            areas.append(size)
            rooms.append(np.full(size.size, len(keys), dtype=np.int64))
            keys.append(key)
            targets.append(target)
    if not keys:
        return Offer((), np.zeros(0), views, np.zeros((0, len(views))), np.zeros(0), np.zeros(0, dtype=np.int64))
    return Offer(tuple(keys), np.array(targets), views, np.vstack(blocks), np.concatenate(areas), np.concatenate(rooms))


def cells_of(area: shapely.Geometry) -> NDArray[np.object_]:
    """A floor cut into cells of a square grid; together they are the floor."""
    x0, y0, x1, y1 = area.bounds
    step = min(max(math.sqrt(area.area / CELLS), CELL_LEAST_M), CELL_MOST_M)
    xs = np.arange(max(1, math.ceil((x1 - x0) / step - 1e-9))) * step + x0
    ys = np.arange(max(1, math.ceil((y1 - y0) / step - 1e-9))) * step + y0
    gx, gy = (g.ravel() for g in np.meshgrid(xs, ys, indexing="ij"))
    cut = shapely.intersection(shapely.box(gx, gy, gx + step, gy + step), area)
    kept: NDArray[np.object_] = cut[shapely.area(cut) > SPECK_M2]
    return kept


def shares_of(cells: NDArray[np.object_], size: Floats, views: Sequence[shapely.Geometry | None]) -> Floats:
    """Share of each cell that each view shows, exact up to rounding outward, (cells, views)."""
    shares = np.zeros((cells.size, len(views)))
    for s, view in enumerate(views):
        if view is None:
            continue
        shapely.prepare(view)
        hit = np.flatnonzero(shapely.intersects(view, cells))
        whole = shapely.contains_properly(view, cells[hit])
        shares[hit[whole], s] = 1.0
        part = hit[~whole]
        shares[part, s] = np.minimum(1.0, shapely.area(shapely.intersection(cells[part], view)) / size[part] + 1e-9)
    shares[shares < 1e-8] = 0.0
    return shares


__all__ = ["Offer", "Views", "best_of", "cells_of", "offer", "shares_of", "views_of"]
