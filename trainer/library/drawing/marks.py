"""What is said on top of a plan: stations, sight links, seen and unseen floor, islands, reasons.

Shape carries the meaning and colour only repeats it: yours is a solid diamond, the reference a hollow double
one, a missing one dashed with a plus, a spare one barred.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from shapely import Polygon

from scoring.drill import Shape
from trainer.library.drawing import pen
from trainer.library.drawing.units import area_words, in_units

R = 13
"""Half a diamond's height [px on the screen]."""
DIAMOND = f"M0 {-R}L{R} 0L0 {R}L{-R} 0Z"
INNER = f"M0 {-R + 5}L{R - 5} 0L0 {R - 5}L{-R + 5} 0Z"
BRACKETS = "M-18 -10V-18H-10M10 -18H18V-10M18 10V18H10M-10 18H-18V10"
CROSS = "M-6 -6L6 6M6 -6L-6 6"
LABELLED_M2 = 0.5
"""Unseen floor from this size on carries its area."""
TICK = "M-6 0L-2 5L6 -5"
LINES = {
    "link": "link", "link-blocked": "link blocked", "link-narrow": "link narrow", "link-long": "link long",
    "reference-link": "link reference", "near": "measure", "reason": "measure fault", "island": "island",
}  # fmt: skip


def diamond(role: str, label: str) -> str:
    """A diamond in screen pixels, by its role."""
    path = pen.path
    number = pen.words(label, "number", x=0, y=4.5, text_anchor="middle") if label else ""
    if role == "reference":
        return path(DIAMOND, "diamond hollow") + path(INNER, "diamond inner") + number
    if role == "missing":
        return path(DIAMOND, "diamond dashed") + path("M-5 0H5M0 -5V5", "stroke")
    if role == "spare":
        return path(DIAMOND, "diamond hollow") + number + path("M-17 9L17 -9", "bar")
    if role == "stand-allowed":
        return path(DIAMOND, "diamond hollow") + path(TICK, "stroke") + _corner(label)
    if role == "stand-refused":
        return path(DIAMOND, "diamond hollow") + path(CROSS, "stroke") + _corner(label)
    return path(BRACKETS, "brackets") + path(DIAMOND, "diamond") + number


def _corner(label: str) -> str:
    return pen.words(label, "words small halo", x=14, y=-8) if label else ""


def station(number: int, x: float, y: float, scale: float, role: str = "yours", label: str | None = None) -> str:
    """A station at a spot [m]; people count from one."""
    text = str(number) if label is None else label
    return pen.fixed((x, y), diamond(role, text), scale, class_=f"station {role}", data_station=number)


def _label(at: tuple[float, float], text: str, scale: float, turn: float = 0.0, class_: str = "words halo") -> str:
    inside = pen.words(text, class_, x=0, y=-5, text_anchor="middle")
    return pen.fixed(at, inside, scale, turn_deg=turn, class_="label")


def _line(shape: Shape, scale: float) -> str:
    points = [(float(p[0]), float(p[1])) for p in shape.at]
    if len(points) < 2:
        return ""
    a, b = points[0], points[-1]
    middle = points[len(points) // 2] if len(points) > 2 else ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    turn = pen.heading_deg(a, b)
    out = pen.path(pen.ring(points, closed=False), LINES.get(shape.role, f"line {shape.role}"))
    if shape.role == "link-blocked":
        bars = pen.path("M-4 -9V9M4 -9V9", "bars") + pen.path("M-3 0H3", "bars-gap")
        out += pen.fixed(middle, bars, scale, turn_deg=math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
    elif shape.role in {"link", "link-narrow", "link-long", "reference-link"}:
        out += pen.fixed(middle, pen.path("M0 -4V4", "link-tick"), scale, turn_deg=turn)
    elif shape.role in {"near", "reason"}:
        for end in (a, b):
            out += pen.fixed(end, pen.path("M-4 4L4 -4", "end-tick"), scale, turn_deg=turn)
    if shape.label:
        out += _label(middle, shape.label, scale, turn)
    return out


def _area(shape: Shape, name: str) -> str:
    data = pen.rings(shape.at)
    texture = {"seen-once": "once", "seen-twice": "twice"}.get(shape.role)
    out = pen.path(data, "texture", fill=f"url(#{name}-{texture})", fill_rule="evenodd") if texture else ""
    return out + pen.path(data, f"area {shape.role}", fill_rule="evenodd") if data else ""


def _area_label(shape: Shape, scale: float, units: str) -> str:
    """What an area is called or how large it is; it lies over the furniture that the area lies under."""
    if shape.role in {"seen-once", "seen-twice"} or not pen.rings(shape.at):
        return ""
    region = Polygon(shape.at[0], shape.at[1:])
    label = shape.label
    if shape.role == "unseen" and not label and region.area >= LABELLED_M2:
        label = area_words(region.area, units)
    spot = region.representative_point()
    return _label((spot.x, spot.y), label, scale, class_="words small halo") if label else ""


def _point(shape: Shape, scale: float) -> str:
    x, y = (float(v) for v in (shape.at[0] if isinstance(shape.at[0], (list, tuple)) else shape.at))
    if shape.role in {"reference", "missing", "spare", "stand-allowed", "stand-refused"}:
        digits = shape.label if len(shape.label) <= 3 else ""
        out = pen.fixed((x, y), diamond(shape.role, digits), scale, class_=f"station {shape.role}")
        return out + (_label((x, y), shape.label, scale, class_="words small halo lifted") if not digits else "")
    if shape.role == "island":
        ring = pen.path("M0 -22L22 0L0 22L-22 0Z", "island-ring")
        named = pen.words(shape.label, "words small halo", x=0, y=35, text_anchor="middle") if shape.label else ""
        return pen.fixed((x, y), ring + named, scale, class_="island")
    inside = pen.path(BRACKETS, "spot-brackets")
    inside += pen.words(shape.label, "words halo", x=0, y=-22, text_anchor="middle") if shape.label else ""
    return pen.fixed((x, y), inside, scale, class_=f"spot {shape.role}")


def draw_shapes(
    shapes: Iterable[Shape], level: int, scale: float, name: str, units: str = "m", forms: tuple[str, ...] = ()
) -> str:
    """The shapes of one level, each in a group of its role; ``forms`` picks some of area, label, line and point.

    A label is what is said of an area; without ``forms`` it lies on its area.
    """
    out = []
    for shape in shapes:
        picked = not forms or shape.form in forms or (shape.form == "area" and "label" in forms)
        if shape.level != level or not picked or not shape.at:
            continue
        shape = Shape(shape.role, shape.form, shape.level, shape.at, in_units(shape.label, units))
        if shape.form == "area":
            inside = _area(shape, name) if not forms or "area" in forms else ""
            inside += _area_label(shape, scale, units) if not forms or "label" in forms else ""
        elif shape.form == "line":
            inside = _line(shape, scale)
        else:
            inside = _point(shape, scale)
        out.append(pen.tag("g", inside, class_=f"shape role-{shape.role}", data_role=shape.role) if inside else "")
    return "".join(out)
