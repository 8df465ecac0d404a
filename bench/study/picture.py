"""The study's two pictures, as plain SVG: pen marks on paper, readable without colour."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from bench.study.simulate import CUT, Rows, summary

WIDTH, HEIGHT, EDGE = 420, 260, 44
INK, PAPER, PENCIL, HARBOUR = "#1D2A33", "#F7F4EC", "#556570", "#174A5C"


def frontier_svg(fixed: Mapping[int, Rows], stopped: Rows, known: Mapping[int, float]) -> str:
    """Share rightly classed against drills: fixed numbers, all known, and stopped when clear."""
    x_most, y_low, y_high = 125.0, 0.80, 0.93

    def at(drills: float, right: float) -> tuple[float, float]:
        return _x(drills / x_most), _y((right - y_low) / (y_high - y_low))

    ours = [at(count, summary(rows)["right"]) for count, rows in fixed.items()]
    theirs = [at(count, right) for count, right in known.items()]
    found = summary(stopped)
    x, y = at(found["drills"], found["right"])
    marks = [
        _line(ours, HARBOUR, 2.0),
        _line(theirs, PENCIL, 1.0, dashed=True),
        *(f'<path d="M{px:.1f} {py - 5:.1f}l5 5l-5 5l-5 -5z" fill="{HARBOUR}"/>' for px, py in ours),
        f'<path d="M{x - 6:.1f} {y - 6:.1f}h12v12h-12z" fill="none" stroke="{INK}" stroke-width="2"/>',
        _text(x + 12, y - 6, "stopped when clear"),
        _text(_x(0.62), _y(0.62), "dashed: everything known"),
    ]
    ticks = [_tick_x(count / x_most, str(count)) for count in (24, 48, 72, 120)]
    ticks += [_tick_y((right - y_low) / (y_high - y_low), f"{right:.2f}") for right in (0.80, 0.85, 0.90)]
    return _sheet("Rightly classed", "drills", [*marks, *ticks])


def calibration_svg(rows: Rows) -> str:
    """Share of skills truly at the cut against the chance that was stated, in ten bins."""
    chance, true = rows.skill_chance.ravel(), (rows.skill_truth >= CUT).ravel()
    which = np.minimum(9, (chance * 10).astype(int))
    spots = [
        (_x(float(chance[which == k].mean())), _y(float(true[which == k].mean())))
        for k in range(10)
        if (which == k).any()
    ]
    marks = [
        _line([(_x(0.0), _y(0.0)), (_x(1.0), _y(1.0))], PENCIL, 1.0, dashed=True),
        _line(spots, HARBOUR, 2.0),
        *(f'<path d="M{px:.1f} {py - 5:.1f}l5 5l-5 5l-5 -5z" fill="{HARBOUR}"/>' for px, py in spots),
    ]
    ticks = [_tick_x(share, f"{share:.1f}") for share in (0.0, 0.5, 1.0)]
    ticks += [_tick_y(share, f"{share:.1f}") for share in (0.0, 0.5, 1.0)]
    return _sheet("Share truly at the cut", "stated chance", [*marks, *ticks])


def _x(share: float) -> float:
    return EDGE + share * (WIDTH - 1.5 * EDGE)


def _y(share: float) -> float:
    return HEIGHT - EDGE - share * (HEIGHT - 1.8 * EDGE)


def _line(spots: list[tuple[float, float]], colour: str, width: float, dashed: bool = False) -> str:
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots)
    dash = ' stroke-dasharray="5 4"' if dashed else ""
    return f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width}"{dash}/>'


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{INK}" font-size="12" text-anchor="{anchor}">{words}</text>'


def _tick_x(share: float, words: str) -> str:
    x, y = _x(share), _y(0.0)
    return f'<path d="M{x:.1f} {y:.1f}v5" stroke="{INK}"/>' + _text(x, y + 18, words, "middle")


def _tick_y(share: float, words: str) -> str:
    x, y = _x(0.0), _y(share)
    return f'<path d="M{x:.1f} {y:.1f}h-5" stroke="{INK}"/>' + _text(x - 8, y + 4, words, "end")


def _sheet(title: str, along: str, marks: list[str]) -> str:
    axes = f'<path d="M{_x(0):.1f} {_y(1):.1f}V{_y(0):.1f}H{_x(1):.1f}" fill="none" stroke="{INK}" stroke-width="2"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'font-family="system-ui, sans-serif"><rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>'
        f"{_text(EDGE, 20, title)}{_text(_x(1.0), HEIGHT - 8, along, 'end')}{axes}{''.join(marks)}</svg>\n"
    )


__all__ = ["calibration_svg", "frontier_svg"]
