"""Things to sit and lie on: sofas, armchairs, chairs, benches, beds, cots."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString, Polygon

from scoring.frame.decor import pick
from scoring.frame.finishes import METAL, PANEL, WEAVE, WOOD, Finish, Rgb, dimmed, mixed
from scoring.frame.stand import Stand

CLOTHS: tuple[Rgb, ...] = (
    (0.33, 0.34, 0.35), (0.16, 0.22, 0.28), (0.46, 0.42, 0.35), (0.27, 0.33, 0.27), (0.40, 0.26, 0.19),
    (0.50, 0.48, 0.45), (0.20, 0.25, 0.33),
)  # fmt: skip
ACCENTS: tuple[Rgb, ...] = (
    (0.50, 0.33, 0.12),
    (0.42, 0.18, 0.13),
    (0.14, 0.30, 0.31),
    (0.60, 0.56, 0.48),
    (0.25, 0.31, 0.18),
)
SHEETS: tuple[Rgb, ...] = ((0.74, 0.73, 0.71), (0.60, 0.65, 0.69), (0.66, 0.61, 0.55), (0.50, 0.56, 0.52))
TIMBERS: tuple[Rgb, ...] = (
    (0.36, 0.23, 0.13),
    (0.22, 0.13, 0.075),
    (0.50, 0.36, 0.22),
    (0.62, 0.52, 0.39),
    (0.13, 0.10, 0.085),
)


def cloth(s: Stand, colours: tuple[Rgb, ...] = CLOTHS) -> Finish:
    """A woven fabric."""
    return Finish(WEAVE, pick(s.dice, colours), strength=0.45, seed=int(s.dice.integers(65536)))


def timber(s: Stand, colours: tuple[Rgb, ...] = TIMBERS) -> Finish:
    """A wood: the same for the seats and tables of a room, and for most of its other furniture."""
    alike = s.thing.kind in ("table", "chair", "bench") or s.dice.random() < 0.6
    colour = colours[s.family % len(colours)] if alike else pick(s.dice, colours)
    return Finish(WOOD, colour, strength=0.4, seed=int(s.dice.integers(65536)))


def sofa(s: Stand) -> None:
    """Feet, a plinth, seat cushions, a back with cushions against it, arms; round the corner when it is an L."""
    fabric, foot = cloth(s), timber(s)
    if s.h < 0.6:
        day_bed(s, fabric)
        return
    outline = Polygon(s.thing.outline)
    if outline.area < 0.93 * s.w * s.d:
        _corner_sofa(s, outline, fabric)
        return
    seat, arm, back = 0.43, 0.17 if s.w > 1.5 else 0.13, 0.24
    _feet(s, foot, 0.07)
    s.box((0.03, s.w - 0.03), (0.05, s.d - 0.03), (0.07, seat - 0.15), fabric)
    s.soft((0.0, s.w), (0.0, back - 0.05), (0.12, s.h), fabric, 0.05)
    for a in (0.0, s.w - arm):
        s.soft((a, a + arm), (0.02, s.d), (0.07, min(0.62, s.h - 0.12)), fabric, 0.05)
    count = max(1, round((s.w - 2 * arm) / 0.75))
    wide = (s.w - 2 * arm) / count
    accent = cloth(s, ACCENTS)
    for k in range(count):
        left, right = arm + k * wide + 0.006, arm + (k + 1) * wide - 0.006
        s.soft((left, right), (0.16, s.d - 0.005), (seat - 0.15, seat), fabric, 0.035)
        s.soft((left + 0.01, right - 0.01), (back - 0.08, back + 0.10), (seat, s.h - 0.06), fabric, 0.06)
    s.soft((arm + 0.03, arm + 0.45), (back + 0.09, back + 0.22), (seat, min(seat + 0.36, s.h - 0.03)), accent, 0.06)


def _feet(s: Stand, finish: Finish, high: float) -> None:
    s.legs(0.05, high, finish, inset=0.05)


def _corner_sofa(s: Stand, outline: Polygon, fabric: Finish) -> None:
    """A seat of the outline's shape, with a back along the outline's sides that face a wall or the outside."""
    rim = s.room.polygon.exterior
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(outline).exterior)
    hull = outline.convex_hull.exterior
    sides = [LineString((ring[k], ring[k + 1])) for k in range(len(ring) - 1)]
    long = sorted(sides, key=lambda side: (rim.distance(side.interpolate(0.5, normalized=True)), -side.length))
    backs = [side for side in long if hull.distance(side.interpolate(0.5, normalized=True)) < 0.01][:2]
    strip = shapely.union_all([side.buffer(0.22, cap_style="flat", join_style="mitre") for side in backs])
    corner = shapely.union_all([side.buffer(0.22, cap_style="square", join_style="mitre") for side in backs])
    back = outline.intersection(strip.union(corner.intersection(outline.buffer(0.0))))
    seat = outline.difference(back)
    p = s.pile
    p.prism(outline.buffer(-0.03, join_style="mitre"), s.base + 0.05, s.base + 0.28, fabric)
    p.prism(back, s.base + 0.05, s.top, fabric)
    for part in shapely.get_parts(seat):
        for piece in _cushions(part):
            _pad(s, piece, 0.28, 0.43, fabric)


def _cushions(seat: Polygon) -> list[Polygon]:
    """A seat cut into cushions of about 0.8 m."""
    x0, y0, x1, y1 = seat.bounds
    pieces = []
    nx, ny = max(1, round((x1 - x0) / 0.8)), max(1, round((y1 - y0) / 0.8))
    for i in range(nx):
        for j in range(ny):
            cell = shapely.box(
                x0 + i * (x1 - x0) / nx,
                y0 + j * (y1 - y0) / ny,
                x0 + (i + 1) * (x1 - x0) / nx,
                y0 + (j + 1) * (y1 - y0) / ny,
            )
            piece = seat.intersection(cell).buffer(-0.006, join_style="mitre")
            pieces += [q for q in shapely.get_parts(piece) if q.geom_type == "Polygon" and q.area > 0.03]
    return pieces


def _pad(s: Stand, piece: Polygon, low: float, high: float, fabric: Finish) -> None:
    """A cushion of any shape: a block with a smaller one on top."""
    s.pile.prism(piece, s.base + low, s.base + high - 0.02, fabric)
    s.pile.prism(piece.buffer(-0.02, join_style="mitre"), s.base + high - 0.02, s.base + high, fabric, bottom=False)


def day_bed(s: Stand, fabric: Finish) -> None:
    """A low couch: frame, mattress, a bolster."""
    wood = timber(s)
    s.legs(0.06, 0.16, wood)
    s.box((0.0, s.w), (0.0, s.d), (0.16, 0.24), wood)
    s.soft((0.02, s.w - 0.02), (0.02, s.d - 0.02), (0.24, s.h - 0.08), fabric)
    s.soft((0.06, 0.46), (0.08, s.d - 0.1), (s.h - 0.08, s.h), cloth(s, ACCENTS), 0.05)


def armchair(s: Stand) -> None:
    """A deep seat between arms."""
    fabric, foot = cloth(s, CLOTHS + ACCENTS), timber(s)
    arm = min(0.15, 0.2 * s.w)
    _feet(s, foot, 0.12)
    s.box((0.01, s.w - 0.01), (0.03, s.d - 0.03), (0.12, 0.28), fabric)
    s.soft((0.0, s.w), (0.0, 0.2), (0.14, s.h), fabric, 0.06)
    for a in (0.0, s.w - arm):
        s.soft((a, a + arm), (0.08, s.d - 0.02), (0.12, 0.6), fabric, 0.05)
    s.soft((arm, s.w - arm), (0.16, s.d), (0.28, 0.44), fabric, 0.04)
    s.soft((arm + 0.02, s.w - arm - 0.02), (0.18, 0.32), (0.44, s.h - 0.08), fabric, 0.05)


def chair(s: Stand) -> None:
    """Legs, a seat and a back of posts and rails; a desk chair turns on a column."""
    wood = timber(s)
    seat = min(0.46, 0.52 * s.h)
    t = 0.035
    if "desk" in s.thing.name and s.h > 0.8:
        fabric, metal = cloth(s), Finish(METAL, (0.25, 0.25, 0.26), strength=0.4)
        mid = (s.w / 2.0, s.d / 2.0)
        s.box((0.02, s.w - 0.02), (mid[1] - 0.03, mid[1] + 0.03), (0.03, 0.07), metal)
        s.box((mid[0] - 0.03, mid[0] + 0.03), (0.02, s.d - 0.02), (0.03, 0.07), metal)
        s.turned(*mid, ((0.03, 0.05), (0.03, seat - 0.05)), metal, 8)
        s.soft((0.01, s.w - 0.01), (0.04, s.d - 0.01), (seat - 0.06, seat + 0.02), fabric)
        s.box((mid[0] - 0.03, mid[0] + 0.03), (0.0, 0.03), (seat - 0.05, seat + 0.2), metal)
        s.soft((0.03, s.w - 0.03), (0.005, 0.085), (seat + 0.12, s.h), fabric)
        return
    for a in (0.0, s.w - t):
        s.box((a, a + t), (0.0, t), (0.0, s.h), wood, upright=True, skip="u")
        s.box((a, a + t), (s.d - t, s.d), (0.0, seat - 0.03), wood, upright=True, skip="ut")
    padded = s.dice.random() < 0.5
    s.box((0.0, s.w), (0.0, s.d), (seat - 0.035, seat - 0.01 if padded else seat), wood)
    if padded:
        s.soft((0.02, s.w - 0.02), (0.04, s.d - 0.01), (seat - 0.01, seat + 0.03), cloth(s), 0.02)
    rails = ((s.h - 0.1, s.h - 0.01), (seat + 0.5 * (s.h - seat) - 0.04, seat + 0.5 * (s.h - seat) + 0.02))
    for low, high in rails:
        s.box((t, s.w - t), (0.008, 0.028), (low, high), wood, skip="lr")


def bench(s: Stand) -> None:
    """A plank seat on legs; with a back when it is tall."""
    wood = timber(s)
    seat = s.h if s.h < 0.6 else 0.45
    for a in (0.06, s.w - 0.12):
        for b in (0.02, s.d - 0.08):
            s.box((a, a + 0.06), (b, b + 0.06), (0.0, seat - 0.04), wood, upright=True, skip="ut")
    planks = max(2, round(s.d / 0.14))
    for k in range(planks):
        s.box((0.0, s.w), (k * s.d / planks + 0.006, (k + 1) * s.d / planks - 0.006), (seat - 0.04, seat), wood)
    if s.h >= 0.6:
        for a in (0.06, s.w - 0.12):
            s.box((a, a + 0.06), (0.0, 0.04), (seat, s.h), wood, upright=True, skip="u")
        for low in (seat + 0.12, seat + 0.26):
            s.box((0.0, s.w), (0.04, 0.06), (low, min(low + 0.1, s.h)), wood)


def bed(s: Stand) -> None:
    """A frame with a headboard, a mattress, a cover turned back, pillows at the head."""
    wood = timber(s)
    sheet = Finish(WEAVE, pick(s.dice, SHEETS), strength=0.2, seed=int(s.dice.integers(65536)))
    cover = cloth(s, SHEETS + ACCENTS)
    pale = Finish(WEAVE, (0.76, 0.75, 0.73), strength=0.15, seed=3)
    low = s.h - 0.11
    s.legs(0.07, 0.1, wood)
    s.box((0.0, s.w), (0.0, 0.04), (0.1, s.h), wood)
    s.box((0.0, s.w), (0.04, s.d), (0.1, low - 0.16), wood)
    s.soft((0.02, s.w - 0.02), (0.05, s.d - 0.02), (low - 0.16, low), sheet)
    s.soft((0.005, s.w - 0.005), (0.62, s.d - 0.005), (low - 0.2, low + 0.035), cover, 0.05)
    s.soft((0.005, s.w - 0.005), (0.50, 0.64), (low - 0.08, low + 0.05), pale, 0.03)
    count = 2 if s.w > 1.2 else 1
    for k in range(count):
        mid = s.w * (k + 0.5) / count
        half = min(0.33, 0.42 * s.w / count)
        s.soft((mid - half, mid + half), (0.07, 0.46), (low - 0.01, s.h - 0.005), pale, 0.07)
    if s.dice.random() < 0.6:
        throw = Finish(PANEL, mixed(cover.colour, (0.2, 0.2, 0.22), 0.6), dimmed(cover.colour, 0.8), (0.12, 3.0))
        s.soft((0.0, s.w), (s.d - 0.62, s.d - 0.14), (low - 0.1, low + 0.045), throw, 0.03)


def cot(s: Stand) -> None:
    """Slats all round a small mattress."""
    wood = timber(s, ((0.62, 0.52, 0.39), (0.75, 0.74, 0.72)))
    s.legs(0.04, s.h, wood)
    for z in (0.22, s.h - 0.05):
        for b in (0.0, s.d - 0.03):
            s.box((0.04, s.w - 0.04), (b, b + 0.03), (z, z + 0.04), wood, skip="lr")
        for a in (0.0, s.w - 0.03):
            s.box((a, a + 0.03), (0.04, s.d - 0.04), (z, z + 0.04), wood, skip="bf")
    for k in range(1, round(s.d / 0.1)):
        b = k * 0.1
        for a in (0.005, s.w - 0.02):
            s.box((a, a + 0.015), (b, b + 0.025), (0.26, s.h - 0.05), wood, skip="tu")
    for k in range(1, round(s.w / 0.1)):
        a = k * 0.1
        for b in (0.005, s.d - 0.02):
            s.box((a, a + 0.025), (b, b + 0.015), (0.26, s.h - 0.05), wood, skip="tu")
    s.soft((0.03, s.w - 0.03), (0.03, s.d - 0.03), (0.24, 0.38), cloth(s, SHEETS))


__all__ = ["armchair", "bed", "bench", "chair", "cloth", "cot", "sofa", "timber"]
