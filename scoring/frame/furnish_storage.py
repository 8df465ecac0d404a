"""Things to put things on and in: tables, desks, wardrobes, shelves with books, sideboards, boxes, the piano."""

from __future__ import annotations

import math

from shapely.geometry import Point, Polygon

from scoring.frame.decor import SILVERED, pick
from scoring.frame.finishes import BOOKS, METAL, PANEL, PLAIN, TILE, WEAVE, WOOD, Finish, Rgb, dimmed
from scoring.frame.furnish_seats import cloth, timber
from scoring.frame.stand import Stand

PAINTS: tuple[Rgb, ...] = ((0.74, 0.73, 0.70), (0.60, 0.62, 0.60), (0.42, 0.47, 0.46), (0.66, 0.62, 0.55))
BLACK = Finish(PLAIN, (0.022, 0.022, 0.024))
STEEL = Finish(METAL, (0.50, 0.50, 0.50), strength=0.4)


def doors_of(finish: Finish, wide: float, high: float) -> Finish:
    """The front of a cupboard: the same colour with dark joints round doors of that size."""
    return finish._replace(pattern=PANEL, second=dimmed(finish.colour, 0.25), scale_m=(wide, high))


def table(s: Stand) -> None:
    """A top on legs; round on a column; a low one with a tray below; beside a bed a little chest."""
    wood = timber(s)
    if max(s.w, s.d) < 0.62 and s.h < 0.7:
        chest(s, 2)
    elif "round" in s.thing.name or ("garden" in s.thing.name and abs(s.w - s.d) < 0.1):
        r = min(s.w, s.d) / 2.0
        mid = (s.w / 2.0, s.d / 2.0)
        x, y, _ = s.at(*mid, 0.0)
        s.turned(*mid, ((0.28, 0.0), (0.26, 0.03), (0.045, 0.07), (0.045, s.h - 0.1), (0.2, s.h - 0.035)), wood, 12)
        s.pile.prism(Point(x, y).buffer(r * 0.998, quad_segs=8), s.base + s.h - 0.035, s.top, wood)
    else:
        thick = 0.04
        leg = 0.055 if s.h > 0.6 else 0.045
        s.box((0.0, s.w), (0.0, s.d), (s.h - thick, s.h), wood)
        s.legs(leg, s.h - thick, wood, inset=0.03)
        if s.h < 0.55:
            s.box((0.05, s.w - 0.05), (0.05, s.d - 0.05), (0.12, 0.14), wood)
        else:
            for b in (0.045, s.d - 0.07):
                s.box((0.08, s.w - 0.08), (b, b + 0.025), (s.h - 0.12, s.h - thick), wood, skip="tlr")
            for a in (0.045, s.w - 0.07):
                s.box((a, a + 0.025), (0.08, s.d - 0.08), (s.h - 0.12, s.h - thick), wood, skip="tbf")


def desk(s: Stand) -> None:
    """A top on a chest of drawers at one end and a side at the other."""
    wood = timber(s)
    s.box((0.0, s.w), (0.0, s.d), (s.h - 0.035, s.h), wood)
    wide = min(0.42, 0.4 * s.w)
    front = doors_of(wood, 10.0, (s.h - 0.035) / 3.0)
    s.box((0.02, wide), (0.02, s.d - 0.03), (0.0, s.h - 0.035), wood, front=front, skip="t")
    for k in range(3):
        z = (k + 0.62) * (s.h - 0.035) / 3.0
        s.box((wide / 2 - 0.05, wide / 2 + 0.07), (s.d - 0.03, s.d - 0.015), (z, z + 0.014), STEEL)
    s.box((s.w - 0.05, s.w - 0.02), (0.02, s.d - 0.03), (0.0, s.h - 0.035), wood, upright=True, skip="t")
    s.box((wide, s.w - 0.05), (0.03, 0.05), (s.h - 0.4, s.h - 0.035), wood, skip="tlr")


def chest(s: Stand, rows: int = 3) -> None:
    """A carcass with drawers."""
    wood = timber(s)
    front = doors_of(wood, 10.0 if s.w < 1.1 else s.w / 2.0, (s.h - 0.09) / rows)
    s.box((0.02, s.w - 0.02), (0.02, s.d - 0.04), (0.0, 0.06), dimmed_of(wood, 0.4), skip="t")
    s.box((0.0, s.w), (0.0, s.d - 0.02), (0.06, s.h - 0.025), wood, front=front)
    s.box((0.0, s.w), (0.0, s.d), (s.h - 0.025, s.h), wood)
    count = 1 if s.w < 1.1 else 2
    for k in range(rows):
        for j in range(count):
            a = s.w * (j + 0.5) / count
            z = 0.06 + (k + 0.55) * (s.h - 0.09) / rows
            s.box((a - 0.06, a + 0.06), (s.d - 0.02, s.d - 0.003), (z, z + 0.015), STEEL)


def dimmed_of(finish: Finish, by: float) -> Finish:
    """The same finish, darker."""
    return finish._replace(colour=dimmed(finish.colour, by))


def sideboard(s: Stand) -> None:
    """A long low carcass with doors; a chest of drawers by name; with a dark screen standing on it when it has one."""
    name = s.thing.name
    if "chest" in name or "drawers" in name or "dresser" in name:
        chest(s, 3 if s.h > 0.7 else 2)
        return
    if "screen" in name:
        wood = timber(s)
        s.box((0.0, s.w), (0.02, s.d), (0.1, 0.36), wood, front=doors_of(wood, s.w / 3.0, 0.26))
        s.legs(0.04, 0.1, wood, inset=0.04)
        low, high = 0.36, s.h
        if high - low > 0.08:
            s.box((s.w / 2 - 0.5, s.w / 2 + 0.5), (0.06, 0.10), (low, high), BLACK)
        return
    if "console" in name:
        wood = timber(s)
        s.box((0.0, s.w), (0.0, s.d), (s.h - 0.12, s.h), wood)
        s.legs(0.035, s.h - 0.12, wood, inset=0.01)
        return
    wood = timber(s)
    count = max(2, round(s.w / 0.5))
    s.box((0.0, s.w), (0.0, s.d - 0.01), (0.12, s.h), wood, front=doors_of(wood, s.w / count, s.h - 0.12))
    s.legs(0.04, 0.12, wood, inset=0.04)
    for k in range(count):
        a = s.w * (k + (0.86 if k % 2 == 0 else 0.14)) / count
        s.box((a - 0.008, a + 0.008), (s.d - 0.01, s.d), (s.h - 0.25, s.h - 0.13), STEEL)


def wardrobe(s: Stand) -> None:
    """A tall carcass on a plinth with doors and handles."""
    if "rail" in s.thing.name:
        coat_rail(s)
        return
    painted = s.dice.random() < 0.55
    body = Finish(PLAIN, pick(s.dice, PAINTS)) if painted else timber(s)
    count = max(2, round(s.w / 0.5))
    s.box((0.01, s.w - 0.01), (0.0, s.d - 0.05), (0.0, 0.07), dimmed_of(body, 0.4), skip="t")
    s.box((0.0, s.w), (0.0, s.d - 0.03), (0.07, s.h), body, upright=not painted)
    for k in range(count):
        a0, a1 = s.w * k / count + 0.003, s.w * (k + 1) / count - 0.003
        s.box((a0, a1), (s.d - 0.03, s.d - 0.012), (0.08, s.h - 0.01), body, upright=not painted, skip="b")
        m = 0.09
        if painted and a1 - a0 > 0.3:
            inner = dimmed_of(body, 0.93)
            wide, high = a1 - a0 - 2 * m, s.h - 0.1 - 2 * m
            field = inner._replace(pattern=PANEL, second=dimmed(body.colour, 0.55), scale_m=(wide, high))
            s.pile.quad(s.at(a1 - m, s.d - 0.0115, 0.08 + m), s.way(-wide, 0.0), s.way(0.0, 0.0, high), field)
        a = a1 - 0.05 if k % 2 == 0 else a0 + 0.05
        s.box((a - 0.007, a + 0.007), (s.d - 0.012, s.d), (0.95, 1.15), STEEL)


def coat_rail(s: Stand) -> None:
    """A rail between two posts with coats on it."""
    metal = STEEL
    for a in (0.02, s.w - 0.05):
        s.box((a, a + 0.03), (s.d / 2 - 0.015, s.d / 2 + 0.015), (0.0, s.h - 0.02), metal)
    s.box((0.02, s.w - 0.02), (s.d / 2 - 0.012, s.d / 2 + 0.012), (s.h - 0.04, s.h - 0.016), metal)
    a = 0.12
    while a < s.w - 0.2:
        wide = float(s.dice.uniform(0.05, 0.1))
        low = float(s.dice.uniform(0.6, 1.1))
        s.soft((a, a + wide), (0.04, s.d - 0.04), (low, s.h - 0.05), cloth(s), 0.03)
        a += wide + 0.03


def shelf(s: Stand) -> None:
    """Boards between two sides, with books, baskets and gaps."""
    wood = timber(s)
    t = 0.022
    count = max(2, round(s.h / 0.34))
    gap = (s.h - t) / count
    linen = any(word in s.thing.name for word in ("linen", "shelves"))
    s.box((0.0, t), (0.0, s.d), (0.0, s.h), wood, upright=True)
    s.box((s.w - t, s.w), (0.0, s.d), (0.0, s.h), wood, upright=True)
    s.box((t, s.w - t), (0.0, 0.012), (0.0, s.h), dimmed_of(wood, 0.7), skip="lrtu")
    bays = max(1, round(s.w / 0.95))
    for j in range(1, bays):
        a = s.w * j / bays
        s.box((a - t / 2, a + t / 2), (0.0, s.d - 0.01), (0.0, s.h), wood, upright=True, skip="tu")
    for k in range(count + 1):
        z = k * gap
        s.box((t, s.w - t), (0.0, s.d - 0.005), (z, z + t), wood, skip="lrb")
    for j in range(bays):
        left, right = s.w * j / bays + t, s.w * (j + 1) / bays - t
        for k in range(count):
            _filled(s, (left, right), k * gap + t, gap - t, wood, linen=linen)


def _filled(s: Stand, a: tuple[float, float], low: float, free: float, wood: Finish, *, linen: bool) -> None:
    """What stands on one board of a shelf."""
    deep = s.d - 0.03
    chance = s.dice.random()
    if linen:
        if chance < 0.45:
            pile = float(s.dice.uniform(0.35, 0.8)) * free
            wide = min(0.4, (a[1] - a[0]) * 0.45)
            for k in range(int((a[1] - a[0]) // (wide + 0.04))):
                at = a[0] + 0.02 + k * (wide + 0.04)
                soft = cloth(s, ((0.72, 0.71, 0.68), (0.55, 0.60, 0.64), (0.62, 0.52, 0.42), (0.40, 0.45, 0.42)))
                s.soft((at, at + wide), (0.02, deep - 0.02), (low, low + pile), soft, 0.03)
        elif chance < 0.85:
            brown = Finish(WEAVE, (0.38, 0.28, 0.17), strength=0.8, seed=int(s.dice.integers(999)))
            s.box((a[0] + 0.04, a[0] + 0.04 + 0.42 * (a[1] - a[0])), (0.02, deep), (low, low + 0.7 * free), brown)
        return
    if chance < 0.12:
        return
    end = a[1] if chance > 0.45 else a[0] + (a[1] - a[0]) * float(s.dice.uniform(0.45, 0.9))
    high = min(free - 0.02, 0.30)
    seed = int(s.dice.integers(65536))
    books = Finish(BOOKS, dimmed(wood.colour, 0.6), scale_m=(1.0, high), seed=seed)
    pages = Finish(WEAVE, (0.62, 0.58, 0.48), strength=0.3)
    reach = min(deep, 0.23)
    s.box((a[0] + 0.004, end - 0.004), (0.012, reach), (low, low + high * 0.80), pages, front=books, skip="bu")
    s.pile.quad(s.at(end - 0.004, reach, low), s.way(-(end - a[0] - 0.008), 0.0), s.way(0.0, 0.0, high * 0.80), books)


def box(s: Stand) -> None:
    """Stacked cardboard or cases, a little askew; a chest when it is one."""
    if "chest" in s.thing.name or "toy" in s.thing.name:
        wood = timber(s)
        s.box((0.0, s.w), (0.0, s.d), (0.0, s.h - 0.05), wood)
        s.box((0.0, s.w), (0.0, s.d), (s.h - 0.04, s.h), wood)
        return
    case = "suitcase" in s.thing.name
    a = 0.0
    while a < s.w - 0.15:
        wide = min(float(s.dice.uniform(0.35, 0.6)), s.w - a)
        z = 0.0
        while z < s.h - 0.12:
            high = min(float(s.dice.uniform(0.22, 0.42)), s.h - z)
            inset = float(s.dice.uniform(0.0, 0.04))
            if case:
                shell = cloth(s)
            else:
                tan = float(s.dice.uniform(0.85, 1.1))
                shell = Finish(PANEL, dimmed((0.42, 0.30, 0.18), tan), (0.56, 0.50, 0.40), (3.0, 3.0),
                               seed=int(s.dice.integers(999)))  # fmt: skip
            s.box((a + inset, a + wide - 0.01), (inset, s.d - inset), (z, z + high - 0.004), shell)
            z += high
        a += wide


def piano(s: Stand) -> None:
    """An upright with its keys, or a grand of its outline on three legs."""
    keys = Finish(PANEL, (0.75, 0.74, 0.70), (0.05, 0.05, 0.05), (0.0235, 5.0))
    outline = Polygon(s.thing.outline)
    if outline.area > 0.93 * s.w * s.d:
        s.box((0.0, s.w), (0.0, 0.38), (0.0, s.h), BLACK)
        s.box((0.0, s.w), (0.38, s.d), (0.62, 0.70), BLACK)
        s.pile.quad(s.at(0.06, 0.40, 0.701), s.way(s.w - 0.12, 0.0), s.way(0.0, s.d - 0.43), keys)
        for a in (0.02, s.w - 0.08):
            s.box((a, a + 0.06), (s.d - 0.08, s.d - 0.02), (0.0, 0.62), BLACK)
        return
    s.pile.prism(outline, s.base + 0.62, s.top, BLACK)
    x0, y0, x1, y1 = outline.bounds
    for x, y in ((x0 + 0.15, y0 + 0.15), (x1 - 0.15, y0 + 0.15), (x0 + 0.25, y1 - 0.25)):
        if outline.buffer(-0.05).contains(Point(x, y)):
            s.pile.lathe(x, y, ((0.05, s.base), (0.06, s.base + 0.62)), BLACK, 8)


def mirror(s: Stand) -> None:
    """A looking glass in a thin frame, its face toward the room."""
    wood = timber(s)
    m = 0.025 if "wardrobe" not in s.thing.name else 0.012
    s.box((0.0, s.w), (0.0, max(s.d - 0.008, 0.5 * s.d)), (0.0, s.h), wood, upright=True)
    face = max(s.d - 0.008, 0.5 * s.d)
    for a in ((0.0, m), (s.w - m, s.w)):
        s.box(a, (face, s.d), (0.0, s.h), wood, upright=True, skip="b")
    for z in ((0.0, m), (s.h - m, s.h)):
        s.box((m, s.w - m), (face, s.d), z, wood, skip="blr")
    panes = max(1, round(s.w / 0.95)) if "wardrobe" in s.thing.name else 1
    wide = (s.w - 2 * m) / panes
    for k in range(panes):
        a1 = m + (k + 1) * wide
        gap = 0.004 if panes > 1 else 0.0
        s.pile.quad(
            s.at(a1 - gap, face + 0.001, m), s.way(-(wide - 2 * gap), 0.0), s.way(0.0, 0.0, s.h - 2 * m), SILVERED
        )


def wood_block(s: Stand) -> None:
    """A beam."""
    long = Finish(WOOD, (0.26, 0.17, 0.10), strength=0.6, seed=int(s.dice.integers(65536)))
    s.box((0.0, s.w), (0.0, s.d), (0.0, s.h), long)


def rail(s: Stand) -> None:
    """A hand rail on balusters."""
    wood, paint = timber(s), Finish(PLAIN, (0.76, 0.75, 0.72))
    along = s.w >= s.d
    long, thick = (s.w, s.d) if along else (s.d, s.w)

    def put(p: tuple[float, float], q: tuple[float, float], z: tuple[float, float], look: Finish) -> None:
        if along:
            s.box(p, q, z, look)
        else:
            s.box(q, p, z, look)

    put((0.0, long), (0.0, thick), (s.h - 0.05, s.h), wood)
    put((0.0, long), (0.2 * thick, 0.8 * thick), (0.06, 0.10), paint)
    count = max(2, math.ceil(long / 0.11))
    for k in range(count + 1):
        wide = 0.05 if k in (0, count) else 0.02
        at = min(max(0.0, long * k / count - wide / 2), long - wide)
        low = 0.0 if k in (0, count) else 0.10
        put(
            (at, at + wide),
            (0.5 * thick - min(wide, thick) / 2, 0.5 * thick + min(wide, thick) / 2),
            (low, s.h - 0.05),
            paint,
        )


def tiled(s: Stand) -> Finish:
    """Small white tiles."""
    return Finish(TILE, (0.72, 0.73, 0.72), (0.5, 0.5, 0.49), (0.1, 0.1), 0.1, int(s.dice.integers(999)))


__all__ = [
    "BLACK", "PAINTS", "STEEL", "box", "chest", "desk", "dimmed_of", "doors_of", "mirror", "piano", "rail", "shelf",
    "sideboard", "table", "tiled", "wardrobe", "wood_block",
]  # fmt: skip
