"""The door line of a tiny room: its doors to the inside, where a station is from them, where a tripod may stand there.

The door line is the wall's outer face; distance counts outward from it, along the door's axis::

        tiny room        │ wall │   next room
                         └──────┘
        · · · · · axis · · · · · · ·|←  t  →◆ station
                         ┌──────┐
                         │      │
"""

from __future__ import annotations

from dataclasses import dataclass

from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.shapes import Hole
from scoring.floor.stands import passes
from scoring.kinds.case import snapped
from scoring.kinds.words import metres

STEPS = 5
"""Distances tried outside each door for the best spot."""


@dataclass(frozen=True, slots=True)
class Offset:
    """Where a station is from a door: outward from the wall's face and off the axis [m]."""

    out_m: float
    aside_m: float


def doors(place: Place, level: int, space: str) -> list[Hole]:
    """The doors and passages of a room that lead to another room drawn, not to the outside."""
    known = {room.space.id for room in place.storeys[level].rooms if not room.space.outdoor}
    return [
        hole
        for hole in place.storeys[level].holes
        if hole.walkable and space in hole.opening.between and set(hole.opening.between) <= known
    ]


def door_spots(place: Place, level: int, space: str) -> list[Station]:
    """Spots outside each door of a room, on its axis, over the standard's distances from the door line."""
    return [spot for hole in doors(place, level, space) for spot in _spots(place, level, space, hole)]


def _spots(place: Place, level: int, space: str, hole: Hole) -> list[Station]:
    sign = -1.0 if hole.opening.between[0] == space else 1.0
    spots = []
    for out in _outs(place):
        off = sign * (out + hole.opening.depth_m / 2.0)
        x, y = hole.middle[0] + off * hole.normal[0], hole.middle[1] + off * hole.normal[1]
        spots.append(snapped(Station(level=level, x=x, y=y)))
    return spots


def _outs(place: Place) -> list[float]:
    low, high = place.standard.threshold_min_m, place.standard.threshold_max_m
    return [low + (high - low) * step / (STEPS - 1) for step in range(STEPS)]


def zone_m(place: Place, level: int, space: str) -> tuple[float, float] | None:
    """From how far to how far outside a room's door a tripod may stand on its axis [m], without any benefit.

    Of several doors the one that leaves most choice; None where the legs fit before none.
    """
    zones = []
    for hole in doors(place, level, space):
        spots = zip(_outs(place), _spots(place, level, space, hole), strict=True)
        zones.append([out for out, spot in spots if passes(place, spot)])
    most = max(zones, key=len, default=[])
    return (most[0], most[-1]) if most else None


def span(zone: tuple[float, float]) -> str:
    """A range of distances in words: "0.20 m to 0.40 m", or "0.40 m"."""
    low, high = metres(zone[0]), metres(zone[1])
    return low if low == high else f"{low} to {high}"


def offset(place: Place, level: int, space: str, station: Station) -> Offset | None:
    """Where a station is from the nearest door of a room; None on another level."""
    if station.level != level:
        return None
    found = []
    for hole in doors(place, level, space):
        sign = -1.0 if hole.opening.between[0] == space else 1.0
        dx, dy = station.x - hole.middle[0], station.y - hole.middle[1]
        out = sign * (dx * hole.normal[0] + dy * hole.normal[1]) - hole.opening.depth_m / 2.0
        aside = abs(dx * -hole.normal[1] + dy * hole.normal[0])
        found.append(Offset(out, aside))
    return min(found, key=lambda one: abs(one.out_m) + one.aside_m) if found else None


__all__ = ["Offset", "door_spots", "doors", "offset", "span", "zone_m"]
