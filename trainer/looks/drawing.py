"""Findings drawn on the frame laid flat: one SVG group for each, with lines and corner brackets.

x = azimuth + 180   0..360, to the right        y = 90 - elevation   0..180, down
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

CORNER_SHARE = 0.3
CORNER_MAX_DEG = 6.0


@dataclass(frozen=True, slots=True)
class Group:
    """What is drawn for one finding."""

    key: str
    number: int
    svg: SafeString


def groups(look: Mapping[str, Any], keys: Sequence[str]) -> list[Group]:
    """A group for every finding that has something to draw; numbered as the findings are."""
    made = []
    for number, key in enumerate(keys, 1):
        traces = look[key].get("traces", ())
        drawn = "".join(_trace(trace, number) for trace in traces)
        if drawn:
            made.append(Group(key, number, mark_safe(drawn)))  # noqa: S308 - numbers and our own names only
    return made


def _trace(trace: Mapping[str, Any], number: int) -> str:
    points = [(float(azimuth) + 180.0, 90.0 - float(elevation)) for azimuth, elevation in trace["at_deg"]]
    role = trace["role"]
    if trace["form"] == "line":
        path = "M" + " L".join(f"{x:.2f},{y:.2f}" for x, y in points)
        return _twice(path, role)
    (left, low), (right, high) = points
    shifts = (0.0, -360.0) if right > 360.0 else (0.0, 360.0) if left < 0.0 else (0.0,)
    drawn = ""
    for shift in shifts:
        drawn += _twice(_brackets(left + shift, high, right + shift, low), role)
        x, y = max(0.0, left + shift), max(0.0, high)
        if x < min(355.0, right + shift):
            drawn += f'<text x="{x + 1.5:.2f}" y="{y + 1.5:.2f}" class="{role}">{number}</text>'
    return drawn


def _twice(path: str, role: str) -> str:
    """Ink on a paper-coloured stroke, so that it reads on any picture."""
    return f'<path class="under" d="{path}"/><path class="{role}" d="{path}"/>'


def _brackets(left: float, top: float, right: float, bottom: float) -> str:
    dx = min(CORNER_MAX_DEG, CORNER_SHARE * (right - left))
    dy = min(CORNER_MAX_DEG, CORNER_SHARE * (bottom - top))
    return " ".join(
        f"M{x + sx * dx:.2f},{y:.2f} L{x:.2f},{y:.2f} L{x:.2f},{y + sy * dy:.2f}"
        for x, sx in ((left, 1), (right, -1))
        for y, sy in ((top, 1), (bottom, -1))
    )


__all__ = ["Group", "groups"]
