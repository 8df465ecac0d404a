"""The margin of a sheet: overall dimensions, scale bar, north tick, and the block that says what it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.library.drawing import pen
from trainer.library.drawing.units import FOOT_M, length_words

BAR_STEPS_M = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
BAR_STEPS_FT = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the foot of a sheet says."""

    drill: str
    place: str
    level: str
    revision: str = ""


def dimension(a: pen.Spot, b: pen.Spot, scale: float, units: str, offset_px: float) -> str:
    """A dimension line beside the segment a-b, ``offset_px`` to its left, with ticks at both ends."""
    length = math.dist(a, b)
    if length < 1e-6:
        return ""
    shift = offset_px * scale / pen.CM
    left = (-(b[1] - a[1]) / length * shift, (b[0] - a[0]) / length * shift)
    p, q = (a[0] + left[0], a[1] + left[1]), (b[0] + left[0], b[1] + left[1])
    middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
    turn = pen.heading_deg(p, q)
    ticks = "".join(pen.fixed(end, pen.path("M-4 4L4 -4M0 -5V5", "end-tick"), scale, turn_deg=turn) for end in (p, q))
    text = pen.words(length_words(length, units), "words dim", x=0, y=-4, text_anchor="middle")
    return pen.tag(
        "g", pen.path(pen.ring([p, q], closed=False), "dim-line") + ticks
        + pen.fixed(middle, text, scale, turn_deg=turn), class_="dimension",
    )  # fmt: skip


def graduations(left: float, right: float, bottom: float, top: float, scale: float, units: str) -> str:
    """Ticks and figures along the left and lower edge of the paper: the coordinates of the plan.

    Stations are given in these figures, so they can be read off without any other help.
    """
    unit_m = FOOT_M if units == "ft" else 1.0
    metres = scale / pen.CM
    every = next(step for step in (1, 2, 5, 10, 20, 50, 100) if step * unit_m * pen.CM / scale >= 44 or step == 100)
    ticks, out = [], []
    for low, high, across in ((left, right, True), (bottom, top, False)):
        for index in range(math.ceil(low / unit_m + 0.3), math.floor(high / unit_m - 0.3) + 1):
            at = index * unit_m
            numbered = index % every == 0
            long = (9 if numbered else 5) * metres
            if across:
                ticks.append(pen.ring([(at, bottom), (at, bottom + long)], closed=False))
                spot, turn = (at, bottom + 11 * metres), 0.0
            else:
                ticks.append(pen.ring([(left, at), (left + long, at)], closed=False))
                spot, turn = (left + 11 * metres, at), 90.0
            if numbered:
                text = pen.words(f"{index}".replace("-", "−"), "words tick", x=0, y=0 if across else 9,
                                 text_anchor="middle")  # fmt: skip
                out.append(pen.fixed(spot, text, scale, turn_deg=turn if not across else 0.0))
    return pen.tag("g", pen.path("".join(ticks), "grad") + "".join(out), class_="graduations")


def scale_bar(at: pen.Spot, scale: float, units: str, room_px: float = 160.0) -> str:
    """A bar in four alternate fields, its length the roundest that fits."""
    steps, unit_m = (BAR_STEPS_FT, FOOT_M) if units == "ft" else (BAR_STEPS_M, 1.0)
    fitting = [s for s in steps if s * unit_m * pen.CM / scale <= room_px]
    whole = fitting[-1] if fitting else steps[0]
    length = whole * unit_m
    height = 5 * scale / pen.CM
    fields = "".join(
        pen.path(
            pen.ring([(at[0] + length * i / 4, at[1]), (at[0] + length * (i + 1) / 4, at[1]),
                      (at[0] + length * (i + 1) / 4, at[1] - height), (at[0] + length * i / 4, at[1] - height)]),
            "bar-full" if i % 2 == 0 else "bar-blank",
        )
        for i in range(4)
    )  # fmt: skip
    unit = "ft" if units == "ft" else "m"
    zero = pen.fixed(at, pen.words("0", "words dim", x=0, y=-4, text_anchor="middle"), scale)
    end = pen.fixed(
        (at[0] + length, at[1]), pen.words(f"{whole:g} {unit}", "words dim", x=0, y=-4, text_anchor="middle"), scale
    )
    return pen.tag("g", fields + zero + end, class_="scale-bar")


def north_tick(at: pen.Spot, north_deg: float, scale: float) -> str:
    """A short needle toward true north, with its letter always on its left, so that both stay where they are put."""
    needle = pen.path("M0 9V-7M0 -9L4 -1H-4Z", "north")
    letter = pen.fixed(at, pen.words("N", "words dim", x=-16, y=4, text_anchor="middle"), scale)
    return pen.tag("g", pen.fixed(at, needle, scale, turn_deg=north_deg - 90.0) + letter, class_="north-tick")


def title_block(left_m: float, top_m: float, width_m: float, height_m: float, scale: float, block: TitleBlock) -> str:
    """Four ruled fields along the foot of the sheet: drill, place, level, revision."""
    shares = (0.36, 0.32, 0.18, 0.14)
    named = (("drill", block.drill), ("place", block.place), ("level", block.level), ("revision", block.revision))
    out, x = [], left_m
    for share, (name, text) in zip(shares, named, strict=True):
        width = width_m * share
        out.append(pen.path(
            pen.ring([(x, top_m), (x + width, top_m), (x + width, top_m - height_m), (x, top_m - height_m)]), "block"
        ))  # fmt: skip
        fits = max(4, int((width * pen.CM / scale - 12) / 6.6))
        short = text if len(text) <= fits else text[: fits - 1].rstrip() + "…"
        inside = pen.words(name, "words small", x=7, y=14) + pen.words(short, "words", x=7, y=31)
        out.append(pen.fixed((x, top_m), inside, scale))
        x += width
    return pen.tag("g", "".join(out), class_="title-block")
