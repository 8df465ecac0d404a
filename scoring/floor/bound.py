"""A lower bound for stations anywhere, listed or not.

What is proven: no set of stations that meets the standard has fewer than this, wherever they stand, furniture and
walls left out of account. Two facts of the standard carry it, both untouched by its benefits:

- the floor of a level is shown only by stations on that level, so the bounds of the levels add up;
- no station shows floor beyond its reach (and a station that may be elsewhere by the placement error e shows
  nothing beyond reach + e). Floors farther apart than both reaches together have no station in common, so a set
  of floors that are pairwise so far apart (a *packing*) needs a station each.

Every floor with a target above zero needs some station that shows some of it; that holds for targets below the
whole, where a single point need not be seen and so makes no witness. The bound is weak for small homes: one
station could be thought to see a whole level through its walls. It is there to be true, not to be tight.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from scipy.optimize import Bounds, LinearConstraint, milp

from scoring.floor.cover import floors, reach_m, target_share
from scoring.floor.place import Place


def anywhere(place: Place, best_share: Mapping[str, float]) -> int:
    """A lower bound for every set of stations that meets the standard, at least 1.

    ``best_share`` per "level/space" as in a reference: targets follow from it.
    """
    return max(1, sum(_packing(place, level, best_share) for level in range(len(place.storeys))))


def _packing(place: Place, level: int, best_share: Mapping[str, float]) -> int:
    """The most floors of a level of which no two can be shown by one station."""
    every = floors(place, level)
    asked = [
        (area, room)
        for room, area in zip(every.rooms, every.areas, strict=True)
        if room.space.cover and area.area > 0.0
        and target_share(place, room, best_share.get(f"{level}/{room.space.id}", 1.0)) > 0.0
    ]  # fmt: skip
    if not asked:
        return 0
    lens = max(room.floor for room in every.rooms) + place.kit.lens_height_m
    error = place.standard.placement_error_m
    reach = [reach_m(place, lens - room.floor, outdoor=room.space.outdoor) + error for _, room in asked]
    areas = np.array([area for area, _ in asked], dtype=object)
    apart = np.array([shapely.distance(area, areas) for area in areas])
    limit = np.add.outer(reach, reach)
    clash = np.argwhere(np.triu(apart <= limit, 1))
    count = len(asked)
    if len(clash) == 0:
        return count
    rows = np.zeros((len(clash), count))
    rows[np.arange(len(clash)), clash[:, 0]] = rows[np.arange(len(clash)), clash[:, 1]] = 1.0
    found = milp(
        -np.ones(count),
        integrality=np.ones(count),
        bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(rows, ub=1.0),
    )
    return round(-float(found.fun))


__all__ = ["anywhere"]
