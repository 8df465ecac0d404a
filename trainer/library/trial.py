"""What the browser needs to show sight and links on a place by itself: rooms, lens heights, walls of every band."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from shapely import Polygon, get_coordinates, get_parts
from shapely.ops import polylabel

from scoring.floor.bands import band
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan
from scoring.rig.kit import Kit
from scoring.standard import Standard

DIGITS = 8
"""Decimals of a band's corners [m]: the grid that bands are made on."""


def _rings(region: Any) -> list[list[list[float]]]:
    rings = []
    for part in get_parts(region):
        if part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                rings.append([[round(x, DIGITS), round(y, DIGITS)] for x, y in get_coordinates(ring)[:-1].tolist()])
    return rings


@lru_cache(maxsize=32)
def place_for(plan: Plan, kit: Kit, standard: Standard) -> Place:
    """The prepared place, kept."""
    return prepare(plan, kit, standard)


@lru_cache(maxsize=32)
def trial_data(plan: Plan, kit: Kit, standard: Standard) -> dict[str, Any]:
    """Levels with their rooms, each with the number of its band; bands with the walls for sight and for walking."""
    place = place_for(plan, kit, standard)
    bands: list[dict[str, Any]] = []
    known: dict[tuple[int, float], int] = {}
    levels = []
    for index, level in enumerate(plan.levels):
        spaces = []
        for room in place.storeys[index].rooms:
            z = round(room.floor + kit.lens_height_m, 9)
            if (index, z) not in known:
                known[index, z] = len(bands)
                sight, walk = (band(place, index, z, walk=walk).region for walk in (False, True))
                bands.append({"level": index, "z": z, "sight": _rings(sight), "walk": _rings(walk)})
            spot = polylabel(Polygon(room.space.outline), 0.1)
            spaces.append(
                {
                    "id": room.space.id,
                    "name": room.space.name,
                    "outline": room.space.outline,
                    "spot": [round(spot.x, 2), round(spot.y, 2)],
                    "band": known[index, z],
                    "outdoor": room.space.outdoor,
                }
            )
        levels.append({"name": level.name, "spaces": spaces})
    limits = {
        "strip": standard.link_strip_m,
        "longest": standard.link_max_m,
        "longest_outdoor": standard.link_max_outdoor_m,
        "reach": standard.sight_range_m,
        "reach_outdoor": standard.sight_range_outdoor_m,
    }
    return {"levels": levels, "bands": bands, "limits": limits, "first": 0}


__all__ = ["place_for", "trial_data"]
