"""Kitchen, bath and laundry: counters, cupboards, stoves, fridges, basins, tubs, showers, machines."""

from __future__ import annotations

import math
from itertools import pairwise

from shapely.geometry import Point

from scoring.frame.decor import PANE
from scoring.frame.finishes import METAL, PLAIN, STONE, Finish, Rgb
from scoring.frame.furnish_storage import STEEL, dimmed_of, doors_of
from scoring.frame.stand import Stand

FRONTS: tuple[Rgb, ...] = (
    (0.70, 0.69, 0.66),
    (0.30, 0.36, 0.36),
    (0.55, 0.57, 0.53),
    (0.40, 0.28, 0.17),
    (0.22, 0.27, 0.33),
)
TOPS: tuple[tuple[Rgb, Rgb], ...] = (
    ((0.30, 0.29, 0.28), (0.42, 0.41, 0.40)),
    ((0.62, 0.60, 0.56), (0.45, 0.43, 0.40)),
    ((0.40, 0.27, 0.16), (0.3, 0.2, 0.11)),
)
ENAMEL = Finish(PLAIN, (0.80, 0.80, 0.78))
WHITE_METAL = Finish(PLAIN, (0.76, 0.76, 0.75))
DARK_GLASS = Finish(PLAIN, (0.03, 0.03, 0.033))


def kitchen_of(s: Stand) -> tuple[Finish, Finish]:
    """Front and worktop of the kitchen that a thing belongs to: alike for all things of one room."""
    front = Finish(PLAIN, FRONTS[s.family % len(FRONTS)])
    ground, vein = TOPS[s.family // 7 % len(TOPS)]
    return front, Finish(STONE, ground, vein, strength=0.35, seed=s.family % 999)


def counter(s: Stand) -> None:
    """Doors and drawers over a dark plinth, a worktop, and sunk into it a basin and a hob when the name says so."""
    front, top = kitchen_of(s)
    count = max(1, round(s.w / 0.55))
    s.box((0.0, s.w), (0.0, s.d - 0.07), (0.0, 0.1), dimmed_of(front, 0.25), skip="t")
    s.box(
        (0.0, s.w),
        (0.0, s.d - 0.03),
        (0.1, s.h - 0.04),
        front,
        front=doors_of(front, s.w / count, s.h - 0.14),
        skip="t",
    )
    for k in range(count):
        a = s.w * (k + 0.5) / count
        s.box((a - 0.07, a + 0.07), (s.d - 0.03, s.d - 0.012), (s.h - 0.13, s.h - 0.115), STEEL)
    holes = []
    if "sink" in s.thing.name:
        holes.append((0.28 * s.w - 0.22, 0.28 * s.w + 0.22))
    if s.thing.kind == "counter" and s.w > 1.3 and "corner" not in s.thing.name:
        middle = 0.74 * s.w
        hob = (middle - 0.27, middle + 0.27)
        if "stove" in s.thing.name or "kitchenette" in s.thing.name:
            s.box(hob, (0.07, s.d - 0.07), (s.h - 0.004, s.h), DARK_GLASS, skip="u")
            _rings(s, hob, (0.07, s.d - 0.07))
            s.pile.quad(s.at(hob[1], s.d - 0.029, 0.16), s.way(hob[0] - hob[1], 0.0), s.way(0.0, 0.0, 0.5), DARK_GLASS)
    worktop(s, top, holes)


def worktop(s: Stand, top: Finish, holes: list[tuple[float, float]]) -> None:
    """A slab with square steel basins let into it."""
    low, high = s.h - 0.04, s.h - 0.004
    near, far = 0.10, s.d - 0.12
    at = 0.0
    for left, right in holes:
        s.box((at, left), (0.0, s.d), (low, high), top, skip="lr" if at > 0.0 else "r")
        s.box((left, right), (0.0, near), (low, high), top, skip="lr")
        s.box((left, right), (far, s.d), (low, high), top, skip="lr")
        bowl(s, (left, right), (near, far), high - 0.16, high, STEEL)
        at = right
    s.box((at, s.w), (0.0, s.d), (low, high), top)


def bowl(s: Stand, a: tuple[float, float], b: tuple[float, float], low: float, high: float, finish: Finish) -> None:
    """The inside of a basin: four walls that lean in, and a bottom."""
    t = min(0.05, 0.2 * (a[1] - a[0]), 0.2 * (b[1] - b[0]))
    rim = [s.at(a[0], b[0], high), s.at(a[1], b[0], high), s.at(a[1], b[1], high), s.at(a[0], b[1], high)]
    foot = [s.at(a[0] + t, b[0] + t, low), s.at(a[1] - t, b[0] + t, low), s.at(a[1] - t, b[1] - t, low),
            s.at(a[0] + t, b[1] - t, low)]  # fmt: skip
    for k in range(4):
        j = (k + 1) % 4
        s.pile.facet((foot[k], foot[j], rim[j], rim[k])[::-1], finish)
    s.pile.facet(foot, finish)
    x, y = (foot[0][0] + foot[2][0]) / 2.0, (foot[0][1] + foot[2][1]) / 2.0
    s.pile.lathe(x, y, ((0.025, foot[0][2] + 0.002), (0.0, foot[0][2] + 0.002)), dimmed_of(STEEL, 0.4), 8)


def _rings(s: Stand, a: tuple[float, float], b: tuple[float, float]) -> None:
    grey = Finish(PLAIN, (0.16, 0.16, 0.165))
    for p in (0.28, 0.72):
        for q in (0.28, 0.72):
            x, y, z = s.at(a[0] + p * (a[1] - a[0]), b[0] + q * (b[1] - b[0]), s.h)
            s.pile.lathe(x, y, ((0.085, z + 0.0005), (0.070, z + 0.0005)), grey, 14)


def island(s: Stand) -> None:
    """A counter that stands free."""
    front, top = kitchen_of(s)
    if "table" in s.thing.name:
        s.legs(0.08, s.h - 0.05, dimmed_of(front, 0.8), inset=0.03)
        s.box((0.05, s.w - 0.05), (0.05, s.d - 0.05), (0.2, 0.23), front)
    else:
        count = max(1, round(s.w / 0.55))
        look = doors_of(front, s.w / count, s.h - 0.14)
        s.box((0.05, s.w - 0.05), (0.05, s.d - 0.05), (0.0, 0.1), dimmed_of(front, 0.25), skip="t")
        s.box((0.03, s.w - 0.03), (0.03, s.d - 0.03), (0.1, s.h - 0.04), front, front=look, skip="t")
    s.box((0.0, s.w), (0.0, s.d), (s.h - 0.05, s.h), top)


def wall_cupboard(s: Stand) -> None:
    """Doors on the wall."""
    front, _ = kitchen_of(s)
    count = max(1, round(s.w / 0.5))
    s.box((0.0, s.w), (0.0, s.d - 0.01), (0.0, s.h), front, front=doors_of(front, s.w / count, s.h))
    for k in range(count):
        a = s.w * (k + (0.88 if k % 2 == 0 else 0.12)) / count
        s.box((a - 0.006, a + 0.006), (s.d - 0.01, s.d), (0.05, 0.17), STEEL)


def stove(s: Stand) -> None:
    """An oven under a hob; a wood stove with a glass door."""
    if "wood" in s.thing.name:
        iron = Finish(PLAIN, (0.045, 0.043, 0.042))
        s.legs(0.05, 0.14, iron, inset=0.04)
        s.box((0.0, s.w), (0.0, s.d - 0.02), (0.14, s.h - 0.04), iron)
        s.box((0.0, s.w), (0.0, s.d), (s.h - 0.04, s.h), iron)
        s.box((0.1, s.w - 0.1), (s.d - 0.02, s.d - 0.005), (0.4, s.h - 0.2), DARK_GLASS)
        return
    body = WHITE_METAL if s.dice.random() < 0.5 else STEEL
    s.box((0.0, s.w), (0.0, s.d - 0.03), (0.0, s.h - 0.004), body, skip="u")
    s.box((0.01, s.w - 0.01), (0.04, s.d - 0.04), (s.h - 0.004, s.h - 0.001), DARK_GLASS, skip="u")
    count = 1 if s.w < 0.9 else 2
    for k in range(count):
        a0, a1 = s.w * k / count, s.w * (k + 1) / count
        s.box((a0 + 0.02, a1 - 0.02), (s.d - 0.03, s.d - 0.015), (0.14, s.h - 0.16), body)
        s.pile.quad(
            s.at(a1 - 0.07, s.d - 0.0145, 0.24), s.way(a0 - a1 + 0.14, 0.0), s.way(0.0, 0.0, s.h - 0.52), DARK_GLASS
        )
        s.box((a0 + 0.05, a1 - 0.05), (s.d - 0.015, s.d), (s.h - 0.21, s.h - 0.19), STEEL)
        grey = Finish(PLAIN, (0.10, 0.10, 0.105))
        for p in (0.27, 0.73):
            for q in (0.3, 0.72):
                x, y, z = s.at(a0 + p * (a1 - a0), q * s.d, s.h)
                s.pile.lathe(x, y, ((0.085, z - 0.0005), (0.068, z - 0.0005)), dimmed_of(STEEL, 0.35), 14)
        for p in (0.2, 0.4, 0.6, 0.8):
            a = a0 + p * (a1 - a0)
            s.box((a - 0.02, a + 0.02), (s.d - 0.03, s.d - 0.008), (s.h - 0.09, s.h - 0.05), grey)


def fridge(s: Stand) -> None:
    """Two doors with long handles, or one when it is low."""
    body = WHITE_METAL if s.dice.random() < 0.5 else STEEL._replace(colour=(0.42, 0.42, 0.42))
    s.box((0.0, s.w), (0.0, s.d - 0.06), (0.0, s.h), body, skip="u")
    cut = 0.36 * s.h if s.h > 1.3 else 0.0
    doors = ((0.03, cut - 0.004), (cut + 0.004, s.h)) if cut else ((0.03, s.h),)
    for low, high in doors:
        s.box((0.0, s.w), (s.d - 0.055, s.d - 0.02), (low, high), body)
        mid = high - 0.3 if low < 0.1 else low + 0.3
        s.box((0.05, 0.065), (s.d - 0.02, s.d), (mid - 0.2, mid + 0.2), dimmed_of(STEEL, 0.8))


def sink(s: Stand) -> None:
    """A stone sink on a cupboard, or a basin let into what it stands on."""
    if s.thing.base_m > 0.3:
        metal = STEEL
        s.turned(s.w / 2.0, 0.06, ((0.02, 0.0), (0.018, s.h - 0.03)), metal, 8)
        s.box((s.w / 2.0 - 0.012, s.w / 2.0 + 0.012), (0.05, 0.22), (s.h - 0.03, s.h - 0.008), metal)
        s.box((0.0, s.w), (0.0, s.d), (0.0, 0.01), dimmed_of(STEEL, 0.9))
        s.pile.quad(s.at(0.04, 0.1, 0.0105), s.way(s.w - 0.08, 0.0), s.way(0.0, s.d - 0.14), dimmed_of(STEEL, 0.35))
        return
    front, _ = kitchen_of(s)
    s.box((0.0, s.w), (0.0, s.d - 0.03), (0.0, s.h - 0.24), front, front=doors_of(front, s.w / 2.0, s.h - 0.24))
    _trough(s, s.h - 0.24, ENAMEL, 0.05)


def _trough(s: Stand, low: float, finish: Finish, rim: float) -> None:
    """A block from low to the top, hollow from above."""
    for a in ((0.0, rim), (s.w - rim, s.w)):
        s.box(a, (0.0, s.d), (low, s.h), finish)
    for b in ((0.0, rim), (s.d - rim, s.d)):
        s.box((rim, s.w - rim), b, (low, s.h), finish, skip="lr")
    bowl(s, (rim, s.w - rim), (rim, s.d - rim), low + 0.05, s.h - 0.001, finish)


def basin(s: Stand) -> None:
    """A white basin on a pedestal or on a small cupboard."""
    depth = 0.17
    low = s.h - depth
    if s.w > 0.55:
        front, _ = kitchen_of(s)
        count = 2 if s.w > 0.8 else 1
        look = doors_of(front, s.w / (2 * count), 0.42)
        s.box((0.02, s.w - 0.02), (0.0, s.d - 0.03), (low - 0.42, low), front, front=look, skip="t")
        wide = s.w / count
        for k in range(count):
            part = (k * wide, (k + 1) * wide)
            _hollow(s, part, low)
        return
    s.turned(s.w / 2.0, s.d * 0.42, ((0.09, 0.0), (0.07, 0.1), (0.07, low - 0.05), (0.12, low)), ENAMEL, 10)
    _hollow(s, (0.0, s.w), low)


def _hollow(s: Stand, a: tuple[float, float], low: float) -> None:
    rim = 0.035
    back = 0.08 if s.d > 0.3 else rim
    s.box((a[0], a[0] + rim), (0.0, s.d), (low, s.h), ENAMEL, skip="r")
    s.box((a[1] - rim, a[1]), (0.0, s.d), (low, s.h), ENAMEL, skip="l")
    s.box((a[0] + rim, a[1] - rim), (0.0, back), (low, s.h), ENAMEL, skip="lrf")
    s.box((a[0] + rim, a[1] - rim), (s.d - rim, s.d), (low, s.h), ENAMEL, skip="lrb")
    s.pile.quad(s.at(a[0], 0.0, low), s.way(0.0, s.d), s.way(a[1] - a[0], 0.0), ENAMEL)
    bowl(s, (a[0] + rim, a[1] - rim), (back, s.d - rim), low + 0.03, s.h, ENAMEL)


def wc(s: Stand) -> None:
    """A pan with its lid down, and a cistern behind it."""
    tank = min(0.19, 0.3 * s.d)
    s.soft((0.02, s.w - 0.02), (0.0, tank), (0.38, s.h), ENAMEL, 0.02)
    half = s.w / 2.0
    x0, x1 = 0.12 * s.w, 0.88 * s.w
    s.soft((x0 + 0.05, x1 - 0.05), (0.04, s.d - 0.16), (0.0, 0.22), ENAMEL, 0.03)
    _bowl_ring(s, half, tank, 0.20, 0.37)


def _bowl_ring(s: Stand, half: float, tank: float, low: float, high: float) -> None:
    """An oval pan with a lid, tapering to its foot."""

    def ring(scale: float, z: float, shift: float = 0.0) -> list[tuple[float, float, float]]:
        mid, long = (tank + s.d) / 2.0 + shift, scale * (s.d - tank) / 2.0
        wide = scale * min(half * 0.96, 0.19)
        turns = [2.0 * math.pi * k / 14 for k in range(14)]
        return [s.at(half + wide * math.sin(turn), mid - long * math.cos(turn), z) for turn in turns]

    layers = [
        ring(0.62, 0.02, -0.05),
        ring(0.70, low, -0.03),
        ring(0.97, high),
        ring(1.0, high + 0.005),
        ring(1.0, high + 0.03),
        ring(0.9, high + 0.045),
    ]
    for low_ring, high_ring in pairwise(layers):
        for k in range(14):
            j = (k + 1) % 14
            s.pile.facet((low_ring[k], low_ring[j], high_ring[j], high_ring[k]), ENAMEL)
    s.pile.facet(layers[-1], ENAMEL)


def bath(s: Stand) -> None:
    """A tub: outer panels, a rim, a hollow."""
    rim = 0.07
    s.box((0.0, rim), (0.0, s.d), (0.0, s.h), ENAMEL, skip="ru")
    s.box((s.w - rim, s.w), (0.0, s.d), (0.0, s.h), ENAMEL, skip="lu")
    s.box((rim, s.w - rim), (0.0, rim), (0.0, s.h), ENAMEL, skip="lrfu")
    s.box((rim, s.w - rim), (s.d - rim, s.d), (0.0, s.h), ENAMEL, skip="lrbu")
    bowl(s, (rim, s.w - rim), (rim, s.d - rim), 0.14, s.h, ENAMEL)


def shower(s: Stand) -> None:
    """A tray with a drain; when it is tall, glass to the room and a head on the wall."""
    s.box((0.0, s.w), (0.0, s.d), (0.0, min(0.1, s.h)), ENAMEL, skip="u")
    x, y, z = s.at(s.w / 2.0, s.d / 2.0, min(0.1, s.h))
    s.pile.lathe(x, y, ((0.05, z + 0.0005), (0.0, z + 0.0005)), dimmed_of(STEEL, 0.6), 10)
    if s.h < 0.5:
        return
    wall = s.room.polygon.exterior
    sides = (((s.w, s.d), (0.0, s.d)), ((0.0, s.d), (0.0, 0.0)), ((s.w, 0.0), (s.w, s.d)), ((0.0, 0.0), (s.w, 0.0)))
    for (a0, b0), (a1, b1) in sides:
        px, py, _ = s.at((a0 + a1) / 2, (b0 + b1) / 2, 0.0)
        if wall.distance(Point(px, py)) > 0.08:
            s.pile.quad(s.at(a0, b0, 0.1), s.way(a1 - a0, b1 - b0), s.way(0.0, 0.0, s.h - 0.1), PANE)
            for p, q in ((a0, b0), (a1, b1)):
                s.box(
                    (max(0.0, p - 0.015), min(s.w, p + 0.015)),
                    (max(0.0, q - 0.015), min(s.d, q + 0.015)),
                    (0.1, s.h),
                    STEEL,
                )
    s.box((s.w / 2 - 0.012, s.w / 2 + 0.012), (0.01, 0.034), (0.9, s.h - 0.02), STEEL)
    s.box((s.w / 2 - 0.09, s.w / 2 + 0.09), (0.05, 0.23), (s.h - 0.05, s.h - 0.03), STEEL)
    s.box((s.w / 2 - 0.012, s.w / 2 + 0.012), (0.034, 0.1), (s.h - 0.03, s.h - 0.01), STEEL)


def washer(s: Stand) -> None:
    """A white box with a round door."""
    s.box((0.0, s.w), (0.0, s.d - 0.03), (0.0, s.h), WHITE_METAL, skip="u")
    s.pile.quad(
        s.at(s.w - 0.01, s.d - 0.029, s.h - 0.13),
        s.way(0.02 - s.w, 0.0),
        s.way(0.0, 0.0, 0.12),
        dimmed_of(WHITE_METAL, 0.85),
    )
    s.pile.quad(s.at(s.w - 0.06, s.d - 0.0285, s.h - 0.10), s.way(-0.16, 0.0), s.way(0.0, 0.0, 0.05), DARK_GLASS)
    _port(s, s.w / 2.0, 0.46 * s.h, min(0.2, 0.34 * s.w))


def _port(s: Stand, a: float, z: float, r: float) -> None:
    """A round door on the front: a ring and dark glass."""

    def ring(scale: float, b: float) -> list[tuple[float, float, float]]:
        return [
            s.at(a - scale * r * math.cos(2 * math.pi * k / 18), b, z + scale * r * math.sin(2 * math.pi * k / 18))
            for k in range(18)
        ]

    outer, bent, inner = ring(1.0, s.d - 0.029), ring(0.93, s.d - 0.005), ring(0.76, s.d - 0.008)
    for one, two in ((outer, bent), (bent, inner)):
        for k in range(18):
            j = (k + 1) % 18
            s.pile.facet((one[k], one[j], two[j], two[k]), dimmed_of(STEEL, 1.1))
    s.pile.facet(inner, DARK_GLASS)


def boiler(s: Stand) -> None:
    """A white case with pipes; a tank when it stands on the floor."""
    if s.thing.base_m < 0.3:
        r = min(s.w, s.d) / 2.0
        s.turned(s.w / 2.0, s.d / 2.0, ((r, 0.08), (r, s.h - 0.1), (0.6 * r, s.h), (0.0, s.h)), WHITE_METAL, 16)
        return
    s.box((0.0, s.w), (0.0, s.d), (0.1, s.h), WHITE_METAL)
    s.pile.quad(
        s.at(s.w - 0.05, s.d + 0.0, 0.16), s.way(0.10 - s.w, 0.0), s.way(0.0, 0.0, 0.08), dimmed_of(WHITE_METAL, 0.5)
    )
    for k in range(4):
        a = s.w * (k + 1) / 5
        s.box((a - 0.011, a + 0.011), (0.06, 0.082), (0.0, 0.1), Finish(METAL, (0.5, 0.3, 0.2), strength=0.3))


__all__ = [
    "basin",
    "bath",
    "boiler",
    "counter",
    "fridge",
    "island",
    "shower",
    "sink",
    "stove",
    "wall_cupboard",
    "washer",
    "wc",
]
