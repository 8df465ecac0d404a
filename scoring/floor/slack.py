"""What a finger's error may be worth to a floor that just misses its target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import shapely

from scoring.floor.cover import SpaceKey, floor_seen, join
from scoring.floor.findings import Cover
from scoring.floor.place import Place
from scoring.floor.plan import Station

TURNS = tuple((math.cos(math.radians(t)), math.sin(math.radians(t))) for t in range(0, 360, 45))

Seen = Sequence[dict[SpaceKey, Any]]
"""Per station: the floor it shows, by space."""


def slacks(
    place: Place, stations: Sequence[Station], seen: Seen, found: Sequence[tuple[Cover, Any, Any]]
) -> list[float]:
    """Per floor (finding, whole floor, floor seen): the most its share could grow if one station stood elsewhere.

    Elsewhere is up to the placement error away, in eight directions. It is looked for only where the target is
    missed by no more than a band of that width along the rim between seen and unseen floor; 0 everywhere else.
    """
    error = place.standard.placement_error_m

    def after(at: Station, u: float, v: float, key: SpaceKey) -> Any | None:
        moved = Station(level=at.level, x=at.x + error * u, y=at.y + error * v)
        return floor_seen(place, moved, only=key[1]).get(key)

    def slack(cover: Cover, area: Any, any_seen: Any) -> float:
        missing = cover.target_share - cover.share
        if not cover.asked or missing <= 0.0 or error <= 0.0 or cover.floor_m2 <= 0.0:
            return 0.0
        unseen_m = sum(_length(ring) for piece in cover.unseen for ring in piece)
        rim = (unseen_m + shapely.length(any_seen) - shapely.length(area)) / 2.0
        if missing > error * rim / cover.floor_m2:
            return 0.0
        key = (cover.level, cover.space)
        best = 0.0
        for i, at in enumerate(stations):
            if key not in seen[i]:
                continue
            others = [part[key] for j, part in enumerate(seen) if j != i and key in part]
            rest = [join(others)] if others else []
            for u, v in TURNS:
                part = after(at, u, v, key)
                if part is not None:
                    best = max(best, float(join([*rest, part]).area) / cover.floor_m2 - cover.share)
                if best >= missing:
                    return best
        return best

    return [slack(*row) for row in found]


def _length(ring: Sequence[tuple[float, float]]) -> float:
    return sum(math.dist(ring[i - 1], ring[i]) for i in range(len(ring)))


__all__ = ["slacks"]
