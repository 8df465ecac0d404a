"""Numbers and shapes as SVG text. Everything that reaches the paper goes through here, so it is escaped once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from shapely import get_coordinates
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

CM = 100.0
"""Paper units per metre."""

Spot = Sequence[float]


def number(value: float) -> str:
    """A coordinate to a tenth of a paper unit (1 mm), without idle zeros."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text


def spot(point: Spot) -> str:
    """A point [m] as paper coordinates."""
    return f"{number(point[0] * CM)} {number(-point[1] * CM)}"


def ring(points: Iterable[Spot], *, closed: bool = True) -> str:
    """Path data of a ring or a polyline [m]."""
    return "M" + "L".join(spot(p) for p in points) + ("Z" if closed else "")


def rings(polygon: Iterable[Iterable[Spot]]) -> str:
    """Path data of a polygon given as its outer ring and holes [m]."""
    return "".join(ring(r) for r in polygon)


def region(shape: BaseGeometry) -> str:
    """Path data of every polygon in a geometry [m]; lines and points in it are left out."""
    parts = getattr(shape, "geoms", [shape])
    out = []
    for part in parts:
        if isinstance(part, Polygon) and not part.is_empty:
            for edge in (part.exterior, *part.interiors):
                out.append(ring(get_coordinates(edge)[:-1].tolist()))
        elif hasattr(part, "geoms"):
            out.append(region(part))
    return "".join(out)


def tag(name: str, inside: str = "", /, **attributes: Any) -> str:
    """One element; ``class_`` gives class, underscores become dashes, None is left out."""
    pairs = []
    for key, value in attributes.items():
        if value is None:
            continue
        key = key.rstrip("_").replace("_", "-").replace("viewbox", "viewBox")
        text = number(value) if isinstance(value, float) else str(value)
        pairs.append(f' {key}="{escape(text, quote=True)}"')
    return f"<{name}{''.join(pairs)}>{inside}</{name}>" if inside else f"<{name}{''.join(pairs)}/>"


def path(data: str, class_: str, **attributes: Any) -> str:
    """A path of that class; empty data draws nothing."""
    return tag("path", d=data, class_=class_, **attributes) if data else ""


def words(text: str, class_: str = "words", **attributes: Any) -> str:
    """A text element, escaped; sizes are screen pixels because it stands in a ``fixed`` group."""
    return tag("text", escape(text), class_=class_, **attributes)


def fixed(point: Spot, inside: str, scale: float, *, turn_deg: float = 0.0, class_: str = "", **attributes: Any) -> str:
    """A group at a spot [m] that keeps its size on the screen: one unit inside is one pixel.

    ``scale`` is paper units per pixel; with scripts on, the page keeps it true while zooming.
    """
    at = f"translate({spot(point)})" + (f" rotate({number(-turn_deg)})" if turn_deg else "")
    inner = tag("g", inside, class_="fixed", transform=f"scale({scale:.3f})")
    return tag("g", inner, class_=class_ or None, transform=at, **attributes)


def heading_deg(a: Spot, b: Spot) -> float:
    """Direction of a line, folded so that words along it are never upside down [deg]."""
    angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    if angle > 90.0:
        angle -= 180.0
    elif angle <= -90.0:
        angle += 180.0
    return angle
