"""What a finger's error may be worth to a floor that just misses its target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import shapely
from shapely.geometry import Polygon

from scoring.floor.cover import SpaceKey, floor_seen
from scoring.floor.findings import Cover
from scoring.floor.overlay import join, meet, quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station

Seen = Sequence[dict[SpaceKey, Any]]
"""Per station: the floor it shows, by space."""


RIM_SHARE = 0.5
"""Share of a band as wide as the error, along the rim between seen and unseen floor, that one move could bring.

A rim turns about the thing that casts it, so that on the whole half a band is much. Of 343 floors of random
placements that missed their target, no move mended one that missed it by more than a fifth of a band.
"""

MOVED = 2
"""How many stations are tried elsewhere: those that see most of the floor."""


@quiet
def slacks(place: Place, stations: Sequence[Station], seen: Seen, found: Sequence[tuple[Cover, Any]]) -> list[float]:
    """Per floor (finding, whole floor): the most its share could grow if one station stood elsewhere.

    Elsewhere is the placement error away: toward the middle of the largest unseen piece, off it, or to either
    side. It is looked for only where the target is missed by little (see ``RIM_SHARE``); 0 everywhere else.
    """
    error = place.standard.placement_error_m

    def after(at: Station, u: float, v: float, key: SpaceKey) -> Any | None:
        moved = Station(level=at.level, x=at.x + error * u, y=at.y + error * v)
        return floor_seen(place, moved, only=key[1]).get(key)

    def slack(cover: Cover, area: Any) -> float:
        missing = cover.target_share - cover.share
        if not cover.asked or missing <= 0.0 or error <= 0.0 or not cover.unseen:
            return 0.0
        if missing > error * _rim_m(cover, area) * RIM_SHARE / cover.floor_m2:
            return 0.0
        key = (cover.level, cover.space)
        middle = shapely.centroid(Polygon(cover.unseen[0][0]))
        best = 0.0
        by_area = sorted((-part[key].area, i) for i, part in enumerate(seen) if key in part)
        for _, i in by_area[:MOVED]:
            others = [part[key] for j, part in enumerate(seen) if j != i and key in part]
            rest = join(others)
            for u, v in _ways(stations[i], middle):
                part = after(stations[i], u, v, key)
                if part is not None:
                    union_m2 = rest.area + part.area - meet(part, rest).area
                    best = max(best, float(union_m2) / cover.floor_m2 - cover.share)
                if best >= missing:
                    return best
        return best

    return [slack(*row) for row in found]


def _ways(at: Station, toward: Any) -> tuple[tuple[float, float], ...]:
    """Unit steps toward a point, to either side of it, and off it."""
    size = math.hypot(toward.x - at.x, toward.y - at.y)
    if size == 0.0:
        return ()
    u, v = (toward.x - at.x) / size, (toward.y - at.y) / size
    return ((u, v), (-v, u), (v, -u), (-u, -v))


def _rim_m(cover: Cover, area: Any) -> float:
    """Length of the line between seen and unseen floor [m]: the unseen pieces' outlines off the floor's own."""
    outlines = shapely.multilinestrings([shapely.linearrings(ring) for piece in cover.unseen for ring in piece])
    return float(shapely.length(shapely.difference(outlines, shapely.buffer(shapely.boundary(area), 1e-5))))


__all__ = ["slacks"]
