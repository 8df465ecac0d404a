"""Findings as shapes to draw with a mark, rounded to a tenth of a millimetre."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from scoring.drill import Json, Shape
from scoring.floor.findings import Cover, Link, Polygon, Spot
from scoring.floor.plan import Station

DIGITS = 4
SLIVER_M2 = 1e-4


def point(role: str, level: int, at: Spot, label: str = "") -> Shape:
    """A point."""
    return Shape(role, "point", level, _at(at), label)


def line(role: str, level: int, a: Spot, b: Spot, label: str = "") -> Shape:
    """A straight line."""
    return Shape(role, "line", level, [_at(a), _at(b)], label)


def station_point(role: str, station: Station, label: str = "") -> Shape:
    """A point where a station stands."""
    return point(role, station.level, (station.x, station.y), label)


def area(role: str, level: int, polygon: Polygon, label: str = "") -> Shape:
    """An area with its holes."""
    return Shape(role, "area", level, [[_at(at) for at in ring] for ring in polygon], label)


def areas(role: str, level: int, geometry: BaseGeometry, label: str = "") -> list[Shape]:
    """The areas of any geometry; slivers are left out."""
    found = []
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Polygon" and part.area > SLIVER_M2:
            rings = tuple(tuple(ring.coords[:-1]) for ring in (part.exterior, *part.interiors))
            found.append(area(role, level, rings, label))
    return found


def seen_floor(covers: Iterable[Cover]) -> list[Shape]:
    """Seen and unseen floor of all rooms."""
    shapes = []
    for cover in covers:
        for role, polygons in (("seen-once", cover.once), ("seen-twice", cover.twice), ("unseen", cover.unseen)):
            if role != "unseen" or cover.asked:
                shapes += [area(role, cover.level, polygon) for polygon in polygons]
    return shapes


LINK_ROLES = {None: "link", "blocked": "link-blocked", "narrow": "link-narrow", "long": "link-long"}


def link_line(link: Link, stations: Sequence[Station]) -> list[Shape]:
    """A link from station to station with its length; one over a flight is drawn on both storeys."""
    a, b = stations[link.a], stations[link.b]
    role = "link" if link.holds else LINK_ROLES[link.fault]
    label = f"{link.length_m:.1f} m"
    return [line(role, level, (a.x, a.y), (b.x, b.y), label) for level in sorted({a.level, b.level})]


def island_lines(islands: Sequence[Sequence[int]], stations: Sequence[Station]) -> list[Shape]:
    """The islands, each by its stations, numbered."""
    return [
        station_point("island", stations[index], f"island {number}")
        for number, island in enumerate(islands, start=1)
        for index in island
    ]


def reference_shapes(reference: Json) -> list[Shape]:
    """The stored reference: its stations and links."""
    spots = [Station(level=level, x=x, y=y) for level, x, y in reference["stations"]]
    shapes = [station_point("reference", spot, f"R{number}") for number, spot in enumerate(spots, start=1)]
    for a, b in reference["links"]:
        for level in sorted({spots[a].level, spots[b].level}):
            shapes.append(line("reference-link", level, (spots[a].x, spots[a].y), (spots[b].x, spots[b].y)))
    return shapes


def _at(at: Spot) -> list[Json]:
    return [round(float(at[0]), DIGITS) + 0.0, round(float(at[1]), DIGITS) + 0.0]


__all__ = [
    "area", "areas", "island_lines", "line", "link_line", "point", "reference_shapes", "seen_floor", "station_point",
]  # fmt: skip
