"""What lies round the place: ground, fences, trees, neighbours' walls far off."""

from __future__ import annotations

import shapely

from scoring.floor.plan import Plan
from scoring.floor.shapes import Storey
from scoring.frame.finishes import GRASS, Finish
from scoring.frame.solids import GROUND, REAL, Pile, box_of


def surroundings(pile: Pile, plan: Plan, every: tuple[Storey, ...], level: int, seed: int) -> None:
    """Add the outside: open ground under everything that is not drawn, and what stands on it."""
    pile.part = GROUND
    pile.seen = REAL
    x0, y0, x1, y1 = shapely.union_all([room.polygon for storey in every for room in storey.rooms]).bounds
    ground = box_of(x0 - 80.0, y0 - 80.0, x1 + 80.0, y1 + 80.0)
    low = min(storey.level.elevation_m for storey in every) - 0.02
    grass = Finish(GRASS, (0.10, 0.16, 0.045), (0.17, 0.22, 0.07), strength=0.6, seed=seed)
    taken = shapely.union_all([r.polygon for r in every[0].rooms if r.space.outdoor])
    pile.level(ground.difference(taken), low, grass)


__all__ = ["surroundings"]
