"""The kit drawn with the cause: for each fault one small picture of what is where it should not be, larger than true.

What is there stands in full ink, where it belongs is dashed, and the heavy arrow is the move that mends it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from html import escape
from random import Random

from trainer.library.drawing.kit_pen import (
    HIGH,
    WIDE,
    arc,
    arrow,
    box,
    camera_from_above,
    camera_from_the_side,
    cross,
    floor,
    line,
    phone_from_behind,
    rig,
    ring,
    said,
    turned,
)  # fmt: skip
from trainer.library.drawing.pen import tag

Values = Mapping[str, float | str]

AS_IT_SHOULD_BE = "N0"


def draw_kit(code: str, values: Values) -> str:
    """The picture of a cause as SVG; codes without one of their own show the kit as it should be."""
    words, draw = kit_words(code, values), _DRAWINGS.get(code, _DRAWINGS[AS_IT_SHOULD_BE])[1]
    inside = tag("title", escape(words)) + draw(values)
    return tag("svg", inside, viewbox=f"0 0 {WIDE} {HIGH}", class_="kit", role="img", aria_label=words)


def kit_words(code: str, values: Values) -> str:
    """What the picture of a cause shows, in a few words."""
    if code == "F1":
        return f"From above: the lens {'in front of' if _sign(values, 'offset_mm') > 0 else 'behind'} the axis"
    if code == "F2":
        return f"From above: the lens to the {'right' if _sign(values, 'offset_mm') > 0 else 'left'} of the axis"
    if code == "F16" and _is_cut(values):
        return "Somebody cut at a seam: half a body in one heading, gone by the next"
    return _DRAWINGS.get(code, _DRAWINGS[AS_IT_SHOULD_BE])[0]


def is_drawn(code: str) -> bool:
    """Whether a cause has a picture of its own."""
    return code in _DRAWINGS and code != AS_IT_SHOULD_BE


def _sign(values: Values, name: str) -> int:
    value = values.get(name, 0.0)
    return -1 if not isinstance(value, str) and value < 0.0 else 1


def is_one_of(values: Values, name: str, *options: str) -> bool:
    """Whether a choice of the cause is one of these."""
    return values.get(name) in options


def _rays(x: float, y: float) -> str:
    around = [math.radians(step * 30) for step in range(12)]
    return "".join(
        line([(x + 20 * math.cos(a), y + 20 * math.sin(a)), (x + 30 * math.cos(a), y + 30 * math.sin(a))])
        for a in around
    )


def _right(values: Values) -> str:
    above = ring(90, 100, 58, "fine") + cross(90, 100) + turned(camera_from_above(), 90, 100)
    beside = line([(232, 8), (232, 184)], "axis") + turned(rig(78), 232, 184) + floor()
    return above + beside + said(90, 30, "from above", "middle")


def _looks(x: float, y: float) -> str:
    """Which way the lens looks, in a view from above."""
    return arrow((x, y), (x, y - 24), "fine") + said(x + 12, y - 10, "looks this way")


def _out(values: Values) -> str:
    aside = -44.0 * _sign(values, "offset_mm")
    return (
        ring(140, 108, 58, "fine") + cross(140, 108) + turned(camera_from_above("place"), 140, 108)
        + turned(camera_from_above(), 140, 108 + aside) + arrow((206, 108 + aside), (206, 108))
        + said(216, 108 + aside + 4, "the lens") + said(216, 113, "the axis") + _looks(140, 40)
    )  # fmt: skip


def _aside(values: Values) -> str:
    aside = 44.0 * _sign(values, "offset_mm")
    return (
        ring(160, 96, 58, "fine") + cross(160, 96) + turned(camera_from_above("place"), 160, 96)
        + turned(camera_from_above(), 160 + aside, 96) + arrow((160 + aside, 168), (160, 168))
        + line([(160, 118), (160, 178)], "axis") + line([(160 + aside, 118), (160 + aside, 178)])
        + said(160, 192, "the axis", "end" if aside > 0 else "start") + _looks(160, 30)
    )  # fmt: skip


def _askew(values: Values) -> str:
    if values.get("lean_deg") and not values.get("roll_deg"):
        back = -14.0 * _sign(values, "lean_deg")
        return (
            line([(160, 10), (160, 190)], "axis") + turned(turned(camera_from_the_side("place"), 0, -62), 160, 158)
            + turned(turned(camera_from_the_side(), 0, -62), 160, 158, back) + box(146, 166, 60, 16)
            + arc(160, 158, 116, 90, 90 - back, "fine") + arrow((160 + back * 7, 50), (160 + back * 3, 44))
            + said(230, 120, "from the side") + said(84, 120, "you", "middle")
        )  # fmt: skip
    roll = 14.0 * _sign(values, "roll_deg")
    return (
        line([(160, 10), (160, 190)], "axis") + turned(turned(phone_from_behind("place"), 0, -76), 160, 150)
        + turned(turned(phone_from_behind(), 0, -76), 160, 150, roll) + box(160, 160, 70, 18)
        + arrow((160 + roll * 4, 34), (160 + roll * 1.2, 30)) + said(222, 120, "from behind")
    )  # fmt: skip


def _tilted(values: Values) -> str:
    return (
        floor() + line([(160, 8), (160, 184)], "axis") + turned(rig(78, "place"), 160, 184)
        + turned(rig(78), 160, 175, 11) + arrow((206, 36), (176, 30)) + said(210, 60, "level the head")
    )  # fmt: skip


def _moved(values: Values) -> str:
    return (
        floor() + turned(rig(78, "place"), 84, 184) + turned(rig(78), 134, 184)
        + arrow((206, 150), (186, 178), "fine") + said(200, 128, "a foot moved") + said(200, 146, "in mid-spin")
    )  # fmt: skip


def _unsteady(values: Values) -> str:
    return (
        floor() + turned(rig(78, "place"), 130, 178, 7) + turned(rig(78), 130, 179, -6)
        + arc(130, 184, 150, 100, 112, "fine") + arc(130, 184, 150, 68, 80, "fine") + arrow((194, 132), (182, 176))
        + said(202, 122, "all feet down,") + said(202, 140, "locks tight")
    )  # fmt: skip


def _slipped(values: Values) -> str:
    ticks = "".join(
        line([(150 + 62 * math.cos(a), 100 - 62 * math.sin(a)), (150 + r * math.cos(a), 100 - r * math.sin(a))], "fine")
        for a, r in ((math.radians(step * 15), 74 if step % 6 else 82) for step in range(24))
    )
    return (
        ring(150, 100, 62) + ticks + turned(camera_from_above("place"), 150, 100, 90)
        + turned(camera_from_above(), 150, 100, 64) + arc(150, 100, 48, 0, 26, "fine")
        + said(246, 66, "is here") + said(246, 118, "scale says")
    )  # fmt: skip


def _stopped(values: Values) -> str:
    count = 4
    missing = range(count - 1, count)
    parts = []
    for heading in range(count):
        start = 90 - heading * 360 / count
        a0, a1 = math.radians(start), math.radians(start - 360 / count)
        edge = [(150.0, 100.0), (150 + 78 * math.cos(a0), 100 - 78 * math.sin(a0))]
        parts.append(line(edge, "part"))
        mid = (a0 + a1) / 2
        where = (150 + 46 * math.cos(mid), 105 - 46 * math.sin(mid))
        parts.append(said(*where, "not taken" if heading in missing else str(heading + 1), "middle"))
        if heading not in missing:
            parts.append(arc(150, 100, 78, start, start - 360 / count, "part"))
    return "".join(parts) + arc(150, 100, 78, 90, 180, "place") + arc(150, 100, 90, 84, -178, "mend")


def _not_seated(values: Values) -> str:
    tilt = 9.0 if values.get("tilt_deg") else 0.0
    glass = line([(0, -30), (52, -44), (52, 44), (0, 30)], "part", closed=True) + arc(52, 0, 44, 80, -80, "part")
    home = line([(0, -30), (52, -44), (52, 44), (0, 30)], "place", closed=True)
    return (
        box(92, 100, 20, 176) + line([(102, 80), (92, 80), (92, 120), (102, 120)], "fine")
        + line([(60, 100), (280, 100)], "axis") + turned(home, 104, 100) + turned(glass, 106, 86, -tilt)
        + arrow((200, 52), (200, 92)) + said(210, 60, "lens") + said(210, 128, "camera’s axis")
    )  # fmt: skip


def _smudged(values: Values) -> str:
    toward = math.radians(float(values.get("toward_deg", 20.0)))
    x, y = 130 + 30 * math.cos(toward), 100 - 30 * math.sin(toward)
    wipes = "".join(line([(x - 30, y - 18 + step * 9), (x + 26, y - 28 + step * 9)], "grease") for step in range(5))
    return (
        ring(130, 100, 84) + ring(130, 100, 72, "fine") + wipes + line([(x + 20, y), (220, 62)], "fine")
        + said(222, 58, "grease on") + said(222, 76, "the glass") + said(222, 120, "grit off first,")
        + said(222, 138, "then wipe")
    )  # fmt: skip


def _fogged(values: Values) -> str:
    chance = Random("dew")  # noqa: S311 (no secret)
    drops = "".join(
        ring(130 + r * math.cos(a), 100 + r * math.sin(a), chance.uniform(1.5, 4.0), "fine")
        for r, a in ((68 * math.sqrt(chance.random()), chance.uniform(0, math.tau)) for _ in range(90))
    )
    return (
        ring(130, 100, 84) + ring(130, 100, 72, "fine") + drops + said(228, 70, "dew all over")
        + said(228, 110, "wait, do not") + said(228, 128, "keep wiping")
    )  # fmt: skip


def _glared(values: Values) -> str:
    rays = _rays(256, 44)
    return (
        ring(110, 130, 58, "fine") + cross(110, 130) + turned(camera_from_above(), 110, 130, 40)
        + ring(256, 44, 14) + rays + line([(234, 60), (128, 122)], "mend") + line([(240, 68), (122, 132)], "fine")
        + line([(182, 62), (206, 108)], "part") + said(212, 120, "shade it, or") + said(212, 138, "another hour")
    )  # fmt: skip


def _soft(values: Values) -> str:
    if is_one_of(values, "kind", "motion"):
        return (
            ring(150, 108, 58, "fine") + cross(150, 108) + turned(camera_from_above("place"), 150, 108, -12)
            + turned(camera_from_above("place"), 150, 108, 12) + turned(camera_from_above(), 150, 108)
            + arc(150, 108, 74, 118, 62, "mend") + said(216, 60, "still turning") + said(216, 78, "as it exposes")
        )  # fmt: skip
    return (
        turned(camera_from_the_side(), 50, 80) + line([(64, 68), (170, 92), (290, 56)], "fine")
        + line([(64, 92), (170, 68), (290, 104)], "fine") + line([(170, 56), (170, 104)], "part")
        + line([(276, 30), (276, 130)], "place") + said(170, 46, "focused here", "middle")
        + said(276, 150, "the room", "middle") + arrow((184, 170), (264, 170))
    )  # fmt: skip


def _metered(values: Values) -> str:
    bright = _sign(values, "offset_ev") < 0
    x, y = (226.0, 76.0) if bright else (84.0, 138.0)
    return (
        box(160, 100, 288, 168, "fine") + line([(16, 184), (70, 140), (250, 140), (304, 184)], "fine")
        + box(226, 76, 66, 76) + line([(226, 38), (226, 114)], "fine") + line([(193, 76), (259, 76)], "fine")
        + box(84, 138, 70, 34, "dark") + ring(x, y, 20, "mend") + line([(x - 30, y), (x + 30, y)], "mend")
        + line([(x, y - 30), (x, y + 30)], "mend")
        + said(104, 48, "metered on " + ("the window" if bright else "the dark"), "middle")
    )  # fmt: skip


def _jumped(values: Values) -> str:
    parts = []
    for heading in range(4):
        x = 52.0 + heading * 72
        parts.append(box(x, 84, 64, 96))
        step = 4 if heading >= 2 else 12
        parts += [line([(x - 32, 36 + y), (x + 32, 36 + y)], "fine") for y in range(step, 96, step)]
        parts.append(said(x, 150, str(heading + 1), "middle"))
    lock = box(160, 180, 22, 16) + arc(154, 172, 8, 180, 20, "part")
    return "".join(parts) + lock + said(182, 186, "not locked")


def _person(x: float, y: float, class_: str) -> str:
    return ring(x, y - 34, 9, class_) + line([(x - 12, y), (x - 8, y - 22), (x + 8, y - 22), (x + 12, y)], class_)


def _is_cut(values: Values) -> bool:
    """Whether who moved is seen once, in one heading alone, so that the seam cuts them."""
    return values.get("copies") == 1.0


def _half_person(x: float, y: float, class_: str) -> str:
    """The left half of somebody who stands at x, as a seam there leaves it."""
    return arc(x, y - 34, 9, 90, 270, class_) + line([(x - 12, y), (x - 8, y - 22), (x, y - 22)], class_)


def _walked(values: Values) -> str:
    if _is_cut(values):
        return (
            cross(160, 176) + line([(160, 170), (160, 12)], "axis") + said(166, 24, "seam")
            + _half_person(160, 100, "part") + arrow((172, 88), (226, 88), "fine")
            + said(96, 140, "heading 1", "middle") + said(226, 140, "heading 2:", "middle")
            + said(226, 158, "nobody there", "middle")
        )  # fmt: skip
    return (
        cross(160, 176) + line([(160, 170), (160, 12)], "axis") + said(166, 24, "seam") + _person(108, 100, "part")
        + _person(214, 100, "part") + arrow((126, 118), (198, 118), "fine") + said(96, 140, "heading 1", "middle")
        + said(226, 140, "heading 2", "middle")
    )  # fmt: skip


def _ghosted(values: Values) -> str:
    blades = "".join(
        turned(line([(0, 0), (58, -9), (64, 0), (58, 9)], class_, closed=True), 120, 96, angle + shift)
        for shift, class_ in ((0, "part"), (14, "place"), (28, "place"))
        for angle in (0, 120, 240)
    )
    exposures = "".join(box(236 + step * 14, 80 + step * 14, 52, 40, "paper part") for step in range(3))
    return blades + ring(120, 96, 8) + exposures + said(304, 172, "exposures of one heading", "end")


def _low_sun(values: Values) -> str:
    rays = _rays(40, 120)
    return (
        floor() + ring(40, 120, 14) + rays + box(150, 160, 12, 48) + line([(62, 126), (300, 183)], "fine")
        + line([(156, 181), (296, 181)], "dark") + ring(150, 26, 12, "place") + arc(40, 200, 200, 60, 66, "fine")
        + arrow((62, 92), (134, 32)) + said(176, 30, "come when it is high") + said(228, 172, "shadow", "middle")
    )  # fmt: skip


def _set_up(values: Values) -> str:
    if is_one_of(values, "kind", "self"):
        return (
            line([(214, 14), (214, 186)], "part")
            + "".join(line([(214, y), (224, y + 8)], "fine") for y in range(18, 184, 12))
            + cross(120, 100) + turned(camera_from_above(), 120, 100, 90)
            + turned(camera_from_above("place"), 296, 100, -90)
            + line([(140, 100), (272, 100)], "fine") + arrow((120, 128), (120, 178)) + said(206, 26, "mirror", "end")
            + said(12, 194, "step off its square line")
        )  # fmt: skip
    if is_one_of(values, "kind", "finger", "strap"):
        toward = math.radians(float(values.get("toward_deg", 250.0)))
        x, y = 140 + 66 * math.cos(toward), 100 - 66 * math.sin(toward)
        return (
            ring(140, 100, 84) + ring(140, 100, 72, "fine") + ring(x, y, 24, "dark")
            + line([(x, y), (226, 142)], "fine") + said(230, 146, str(values.get("kind")))
            + said(230, 166, "over the lens")
        )  # fmt: skip
    return (
        floor() + turned(rig(78, "place"), 160, 184) + turned(rig(34), 160, 184) + line([(60, 54), (260, 54)], "axis")
        + line([(60, 98), (260, 98)], "fine") + arrow((246, 98), (246, 58)) + said(64, 48, "height it should have")
        + said(64, 92, "height it had")
    )  # fmt: skip


_DRAWINGS: dict[str, tuple[str, Callable[[Values], str]]] = {
    AS_IT_SHOULD_BE: ("The lens over the axis, the axis plumb, the phone square", _right),
    "F1": ("From above: the lens off the axis, forward or back", _out),
    "F2": ("From above: the lens beside the axis", _aside),
    "F3": ("The phone askew in its clamp", _askew),
    "F4": ("From the side: the axis out of plumb", _tilted),
    "F5": ("From the side: the tripod before and after it moved", _moved),
    "F6": ("From the side: the stand gives and rocks", _unsteady),
    "F7": ("From above: the head turned less than its scale says", _slipped),
    "F8": ("From above: the headings that were taken", _stopped),
    "F9": ("Phone and lens cut open, along the way the lens is off the camera’s axis", _not_seated),
    "F10": ("The lens, its sides as from behind the phone, with grease on one part", _smudged),
    "F11": ("The lens from in front, with dew all over", _fogged),
    "F12": ("From above: a source that shines into the lens", _glared),
    "F13": ("What blurred it", _soft),
    "F14": ("What the exposure was metered on", _metered),
    "F15": ("Four headings, the exposure changed between them", _jumped),
    "F16": ("Somebody in two headings, on both sides of a seam", _walked),
    "F17": ("One thing, moved from exposure to exposure", _ghosted),
    "F18": ("From the side: a low sun and the shadows it throws", _low_sun),
    "F19": ("The set-up itself in the picture, or too low", _set_up),
}

__all__ = ["Values", "draw_kit", "is_drawn", "is_one_of", "kit_words"]
