"""A small pen for pictures of the kit: a few solid shapes, where they belong (dashed), and the move that mends it.

viewBox 0 0 320 200, y down
part   what is there, in full ink        place  where it belongs, dashed
fine   thin lines of detail              mend   the arrow of the first fix, heavy
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.library.drawing.pen import tag, words

WIDE, HIGH = 320, 200

At = tuple[float, float]


def line(points: Sequence[At], class_: str = "fine", *, closed: bool = False) -> str:
    """A polyline, or a polygon when closed."""
    data = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + ("Z" if closed else "")
    return tag("path", d=data, class_=class_)


def box(x: float, y: float, wide: float, high: float, class_: str = "part") -> str:
    """A rectangle around its middle."""
    return tag("rect", x=x - wide / 2, y=y - high / 2, width=float(wide), height=float(high), class_=class_)


def ring(x: float, y: float, radius: float, class_: str = "part") -> str:
    """A circle."""
    return tag("circle", cx=float(x), cy=float(y), r=float(radius), class_=class_)


def arc(x: float, y: float, radius: float, start_deg: float, end_deg: float, class_: str = "fine") -> str:
    """Part of a circle; degrees from the right, counter-clockwise as seen."""
    points = [
        (x + radius * math.cos(math.radians(a)), y - radius * math.sin(math.radians(a)))
        for a in (start_deg + (end_deg - start_deg) * i / 16 for i in range(17))
    ]
    return line(points, class_)


def arrow(start: At, end: At, class_: str = "mend") -> str:
    """A line with a filled head at its end."""
    x, y = end
    along = math.atan2(y - start[1], x - start[0])
    head = [
        (x, y),
        (x - 10 * math.cos(along - 0.4), y - 10 * math.sin(along - 0.4)),
        (x - 10 * math.cos(along + 0.4), y - 10 * math.sin(along + 0.4)),
    ]
    shaft = (x - 8 * math.cos(along), y - 8 * math.sin(along))
    return line([start, shaft], class_) + line(head, f"{class_} tip", closed=True)


def said(x: float, y: float, text: str, anchor: str = "start") -> str:
    """Words on the drawing."""
    return words(text, "words", x=float(x), y=float(y), text_anchor=anchor)


def turned(inside: str, x: float, y: float, angle_deg: float = 0.0, class_: str | None = None) -> str:
    """A group at a place, turned clockwise about its own origin."""
    return tag("g", inside, transform=f"translate({x:.1f} {y:.1f}) rotate({angle_deg:.1f})", class_=class_)


def cross(x: float, y: float) -> str:
    """The turning axis seen from above: a ring with a long cross."""
    return line([(x - 16, y), (x + 16, y)], "axis") + line([(x, y - 16), (x, y + 16)], "axis") + ring(x, y, 5, "axis")


def floor(y: float = 184.0) -> str:
    """The floor, with short strokes under it."""
    strokes = "".join(line([(x, y), (x - 6, y + 6)], "fine") for x in range(26, 304, 14))
    return line([(16, y), (304, y)], "part") + strokes


def camera_from_above(class_: str = "part") -> str:
    """Phone and lens from above, looking up the sheet; the pupil is the origin."""
    body = line([(-13, -14), (13, -14), (9, 10), (-9, 10)], class_, closed=True)
    return body + box(0, 15, 76, 10, class_) + ring(0, 0, 3, "pupil")


def camera_from_the_side(class_: str = "part") -> str:
    """Phone and lens from the side, looking right; the pupil is the origin."""
    return box(-15, 24, 9, 76, class_) + line([(-10, -9), (14, -13), (14, 13), (-10, 9)], class_, closed=True)


def phone_from_behind(class_: str = "part") -> str:
    """The phone as the operator sees it; the lens is the origin."""
    return box(0, 32, 48, 92, class_) + ring(0, 0, 9, class_)


def tripod(high: float, class_: str = "part") -> str:
    """Legs and head from the side; the origin is on the floor, under the axis."""
    legs = "".join(line([(0, 22 - high), (foot, 0)], class_) for foot in (-46.0, 8.0, 46.0))
    return legs + box(0, 14 - high, 30, 14, class_)


def rig(high: float, class_: str = "part") -> str:
    """Tripod and camera from the side, pupil over the axis."""
    return tripod(high, class_) + turned(camera_from_the_side(class_), 0, -high - 52)


__all__ = [
    "HIGH", "WIDE", "arc", "arrow", "box", "camera_from_above", "camera_from_the_side", "cross", "floor", "line",
    "phone_from_behind", "rig", "ring", "said", "tripod", "turned",
]  # fmt: skip
