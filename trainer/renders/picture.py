"""A survey as JSON with the shapes to draw: the same roles that a grade uses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from scoring.drill import Shape
from scoring.floor.findings import Cover, Link, Polygon, Survey
from scoring.floor.place import Place
from scoring.floor.plan import Station

LINK_ROLES = {None: "link", "blocked": "link-blocked", "narrow": "link-narrow", "long": "link-long"}


def survey_json(place: Place, stations: Sequence[Station], found: Survey) -> dict[str, Any]:
    """What was found about the stations, with shares in percent, and the shapes to draw."""
    return {
        "stands": [asdict(stand) for stand in found.stands],
        "links": [{**asdict(link), "holds": link.holds} for link in found.links],
        "islands": [[index + 1 for index in island] for island in found.islands],
        "cut_stations": [index + 1 for index in found.cut_stations],
        "spare": [index + 1 for index in found.spare],
        "gain_m2": list(found.gain_m2),
        "covers": [_cover_json(place, cover) for cover in found.covers],
        "shapes": [asdict(shape) for shape in survey_shapes(stations, found)],
    }


def survey_shapes(stations: Sequence[Station], found: Survey) -> list[Shape]:
    """Floor seen once, seen twice and unseen; links that hold; links between neighbours that do not."""
    shapes = []
    for cover in found.covers:
        if cover.asked:
            for role, polygons in (("seen-once", cover.once), ("seen-twice", cover.twice), ("unseen", cover.unseen)):
                shapes += [Shape(role, "area", cover.level, _rings(polygon)) for polygon in polygons]
    for link in found.links:
        if link.fault == "blocked" and not link.benefit:
            continue
        shapes.append(_link_shape(stations, link))
    return shapes


def _link_shape(stations: Sequence[Station], link: Link) -> Shape:
    a, b = stations[link.a], stations[link.b]
    role = "link" if link.holds else LINK_ROLES[link.fault]
    return Shape(role, "line", a.level, [[a.x, a.y], [b.x, b.y]], f"{link.length_m:.1f} m")


def _rings(polygon: Polygon) -> list[list[list[float]]]:
    return [[[x, y] for x, y in ring] for ring in polygon]


def _cover_json(place: Place, cover: Cover) -> dict[str, Any]:
    return {
        "level": cover.level,
        "space": cover.space,
        "name": place.plan.space(cover.level, cover.space).name,
        "floor_m2": cover.floor_m2,
        "seen_m2": cover.seen_m2,
        "twice_m2": cover.twice_m2,
        "share_percent": 100.0 * cover.share,
        "target_percent": 100.0 * cover.target_share,
        "asked": cover.asked,
        "holds": cover.holds,
        "corners": [asdict(corner) for corner in cover.corners],
        "worst_unseen": cover.worst_unseen,
    }


__all__ = ["survey_json", "survey_shapes"]
