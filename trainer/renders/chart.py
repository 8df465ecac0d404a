"""A curve as SVG: one number over one parameter, with the lines where verdicts begin."""

from __future__ import annotations

import json
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from trainer.renders.readings import Curve

WIDE, HIGH = 420, 220
LEFT, RIGHT, TOP, BOTTOM = 56, 64, 14, 40


@dataclass(frozen=True, slots=True)
class Scale:
    """Where the values of a curve lie in its drawing."""

    x0: float
    x1: float
    top: float
    """Highest value shown, in the unit that is shown."""

    def across(self, x: float) -> float:
        """Pixels from the left."""
        return LEFT + (WIDE - LEFT - RIGHT) * (x - self.x0) / (self.x1 - self.x0)

    def up(self, y: float) -> float:
        """Pixels from the top."""
        return HIGH - BOTTOM - (HIGH - TOP - BOTTOM) * y / self.top


def scale_of(curve: Curve) -> Scale:
    """The scale that shows all of a curve and where its last verdict begins."""
    times = curve.quantity.times
    values = [y for _, y in (*curve.points, curve.here)] + [edge for edge, _ in curve.edges[-1:]]
    return Scale(curve.points[0][0], curve.points[-1][0], max([*(value * times for value in values), 1e-9]) * 1.08)


def along(curve: Curve) -> str:
    """What the browser needs to move the mark while a slider turns, as JSON: points of (parameter, number as shown,
    pixels across, pixels down), and how the number is said."""
    scale, quantity = scale_of(curve), curve.quantity
    points = [
        [x, y * quantity.times, round(scale.across(x), 1), round(scale.up(y * quantity.times), 1)]
        for x, y in curve.points
    ]
    return json.dumps({"points": points, "places": quantity.places, "unit": quantity.unit})


def curve_svg(curve: Curve) -> SafeString:
    """The drawing of a curve; the page carries its figures in a table too."""
    times = curve.quantity.times
    edges = [(edge * times, words) for edge, words in curve.edges]
    scale = scale_of(curve)
    across, up, top, x0, x1 = scale.across, scale.up, scale.top, scale.x0, scale.x1
    floor_y = HIGH - BOTTOM
    parts = [f'<path class="axis" d="M{LEFT} {TOP}V{floor_y}H{WIDE - RIGHT}"/>']
    for edge, words in edges:
        if edge <= top:
            y = up(edge)
            parts.append(f'<path class="edge" d="M{LEFT} {y:.1f}H{WIDE - RIGHT}"/>')
            parts.append(f'<text class="from" x="{WIDE - RIGHT + 4}" y="{y + 4:.1f}">{escape(words)}</text>')
    line = "L".join(f"{across(x):.1f} {up(y * times):.1f}" for x, y in curve.points)
    parts.append(f'<path class="line" d="M{line}"/>')
    hx, hy = across(curve.here[0]), up(curve.here[1] * times)
    parts.append(f'<path class="drop" d="M{hx:.1f} {hy:.1f}V{floor_y}"/>')
    parts.append(f'<path class="here" transform="translate({hx:.1f} {hy:.1f})" d="M0 -6L6 0L0 6L-6 0Z"/>')
    for x in (x0, (x0 + x1) / 2, x1):
        parts.append(f'<path class="axis" d="M{across(x):.1f} {floor_y}v5"/>')
        parts.append(f'<text x="{across(x):.1f}" y="{floor_y + 18}" text-anchor="middle">{_plain(x)}</text>')
    for y in (0.0, top / 1.08):
        parts.append(f'<path class="axis" d="M{LEFT} {up(y):.1f}h-5"/>')
        shown = curve.quantity.said(y / times)
        parts.append(f'<text x="{LEFT - 8}" y="{up(y) + 4:.1f}" text-anchor="end">{escape(shown.split()[0])}</text>')
    unit = f" [{curve.parameter.unit}]" if curve.parameter.unit else ""
    words = escape(curve.parameter.words + unit)
    parts.append(f'<text x="{(LEFT + WIDE - RIGHT) / 2:.0f}" y="{HIGH - 6}" text-anchor="middle">{words}</text>')
    name = escape(f"{curve.quantity.words} over {curve.parameter.words}")
    return mark_safe(  # noqa: S308
        f'<svg class="chart" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{name}">{"".join(parts)}</svg>'
    )


def _plain(value: float) -> str:
    return f"{value:g}".replace("-", "−")


__all__ = ["Scale", "along", "curve_svg", "scale_of"]
