"""What a finger's error may be worth to a floor that just misses its target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from scoring.floor.cover import SpaceKey, floor_seen, join
from scoring.floor.findings import Cover
from scoring.floor.place import Place
from scoring.floor.plan import Station


def slack(place: Place, stations: Sequence[Station], seen: Sequence[dict[SpaceKey, Any]], found: Cover) -> float:
    """The most that a floor's share could grow if one station stood up to the placement error elsewhere.

    Looked for only where the target is missed by no more than a band of that width along the edge of the unseen
    floor; elsewhere, and where the target is met, it is 0. Eight directions are tried for each station that
    sees some of the floor.
    """
    error = place.standard.placement_error_m
    missing = found.target_share - found.share
    if not found.asked or missing <= 0.0 or error <= 0.0 or found.floor_m2 <= 0.0:
        return 0.0
    rim = sum(
        math.dist(p, q)
        for piece in found.unseen
        for ring in piece
        for p, q in zip(ring, ring[1:] + ring[:1], strict=True)
    )
    if missing > error * rim / found.floor_m2:
        return 0.0
    key = (found.level, found.space)
    best = 0.0
    for i, station in enumerate(stations):
        if key not in seen[i]:
            continue
        others = [part[key] for j, part in enumerate(seen) if j != i and key in part]
        for turn in range(0, 360, 45):
            u, v = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            moved = Station(level=station.level, x=station.x + error * u, y=station.y + error * v)
            part = floor_seen(place, moved).get(key)
            if part is not None:
                best = max(best, join([*others, part]).area / found.floor_m2 - found.share)
            if best >= missing:
                return best
    return best


__all__ = ["slack"]
