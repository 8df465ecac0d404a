"""What hugs walls, floors and ceilings of rooms: skirtings, pictures, rugs, ceiling lamps.

None of it hides floor that counts: a skirting is 6 mm thick, a rug is floor, the rest hangs.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import shapely
from shapely.geometry import LineString, Point, Polygon

from scoring.floor.plan import Thing
from scoring.floor.shapes import Room
from scoring.frame.decor import WOODWORK, dice_of, pick
from scoring.frame.finishes import LAMP, METAL, PICTURE, PLAIN, RUG, WOOD, Finish, Rgb
from scoring.frame.solids import FLOOR, REAL, TRIM, Flat, Pile

SKIRTING_M = (0.006, 0.085)
"""Thickness and height."""
HUNG = frozenset({"living", "bedroom", "dining", "study", "hall", "landing", "attic", "kitchen"})
"""Rooms with pictures."""
RUGS: tuple[tuple[Rgb, Rgb], ...] = (
    ((0.36, 0.14, 0.11), (0.52, 0.42, 0.28)),
    ((0.52, 0.49, 0.43), (0.27, 0.30, 0.33)),
    ((0.14, 0.20, 0.27), (0.50, 0.46, 0.38)),
    ((0.42, 0.38, 0.29), (0.58, 0.55, 0.48)),
)
MATS: tuple[Rgb, ...] = ((0.66, 0.60, 0.48), (0.50, 0.55, 0.55), (0.62, 0.48, 0.38))

Run = tuple[Flat, Flat, float]
"""A wall from a point along a unit vector for so many metres, its room on the side of vector x up."""


def dress_wall(pile: Pile, room: Room, wall: Any, run: Run, things: Sequence[Thing], seed: int) -> None:
    """The skirting of a wall, and a picture where there is room for one; ``wall`` is a region over (s, z)."""
    start, along, length = run
    thick, high = SKIRTING_M
    out = (along[1] * thick, -along[0] * thick, 0.0)
    for s0, s1 in spans(wall, room.floor, room.floor + high, length):
        # A wall's own direction runs with its room on the right: the block's runs the other way.
        corner = (start[0] + along[0] * s1, start[1] + along[1] * s1, room.floor)
        run_back = (-along[0] * (s1 - s0), -along[1] * (s1 - s0), 0.0)
        pile.block(corner, run_back, out, high, WOODWORK, skip="bulr")
    if room.space.use in HUNG and room.space.use != "kitchen":
        _hang(pile, room, wall, run, things, seed)


def spans(wall: Any, low: float, high: float, length: float) -> list[Flat]:
    """Stretches along a wall that it fills from one height to another."""
    strip = Polygon(((0.0, low), (length, low), (length, high), (0.0, high)))
    gaps = sorted(part.bounds[::2] for part in shapely.get_parts(strip.difference(wall)) if part.area > 1e-6)
    found, at = [], 0.0
    for g0, g1 in gaps:
        if g0 - at > 0.02:
            found.append((at, g0))
        at = max(at, g1)
    if length - at > 0.02:
        found.append((at, length))
    return found


def _hang(pile: Pile, room: Room, wall: Any, run: Run, things: Sequence[Thing], seed: int) -> None:
    start, along, length = run
    out = (along[1], -along[0])
    for s0, s1 in spans(wall, room.floor + 1.0, room.floor + 2.1, length):
        dice = dice_of(seed, f"{room.space.id} {start[0]:.2f} {start[1]:.2f} {s0:.2f}")
        if s1 - s0 < 1.2 or dice.random() < 0.25:
            continue
        wide = min(float(dice.uniform(0.45, 1.0)), 0.5 * (s1 - s0))
        high = min(float(dice.uniform(0.40, 0.75)), 0.85)
        mid = (s0 + s1) / 2.0 + float(dice.uniform(-0.15, 0.15)) * (s1 - s0 - wide)
        ends = [(start[0] + along[0] * s, start[1] + along[1] * s) for s in (mid - wide / 2, mid + wide / 2)]
        line = LineString(ends)
        z = room.floor + 1.55 - high / 2.0
        near = [t for t in things if t.height_m > z - room.floor - 0.02 and line.distance(Polygon(t.outline)) < 0.3]
        if near:
            continue
        _picture(
            pile, (ends[1][0], ends[1][1], z), (-along[0], -along[1]), out, (wide, high), int(dice.integers(65536))
        )


def _picture(pile: Pile, corner: tuple[float, float, float], a: Flat, out: Flat, size: Flat, seed: int) -> None:
    """A frame 25 mm deep round a mount and a picture."""
    wide, high = size
    rim, deep = 0.022, 0.025
    wood = Finish(WOOD, ((0.10, 0.07, 0.05), (0.48, 0.36, 0.2), (0.72, 0.71, 0.69))[seed % 3], strength=0.3, seed=seed)
    pile.block(corner, (a[0] * wide, a[1] * wide, 0.0), (out[0] * deep, out[1] * deep, 0.0), high, wood, skip="b")

    def put(inset: float, lift: float, finish: Finish) -> None:
        w, h = wide - 2 * inset, high - 2 * inset
        x = corner[0] + a[0] * (wide - inset) + out[0] * (deep + lift)
        y = corner[1] + a[1] * (wide - inset) + out[1] * (deep + lift)
        pile.quad((x, y, corner[2] + inset), (-a[0] * w, -a[1] * w, 0.0), (0.0, 0.0, h), finish)

    put(rim, 0.0006, Finish(PLAIN, (0.70, 0.69, 0.66)))
    mount = rim + (0.06 if seed % 5 else 0.002)
    scale = (wide - 2 * mount, high - 2 * mount)
    put(mount, 0.0012, Finish(PICTURE, MATS[seed % len(MATS)], scale_m=scale, seed=seed))


def dress_room(pile: Pile, room: Room, things: Sequence[Thing], seed: int) -> None:
    """A lamp under the ceiling and a rug under the low table."""
    if room.space.outdoor:
        return
    own = [thing for thing in things if thing.space == room.space.id]
    dice = dice_of(seed, f"{room.space.id} dressed")
    pile.part, pile.seen = TRIM, REAL
    if not any(thing.kind in ("lamp", "fan") and thing.base_m > 1.0 for thing in own):
        _ceiling_lamp(pile, room, own)
    pile.part, pile.seen = FLOOR, REAL
    if room.space.use in ("living", "bedroom", "study", "dining", "attic"):
        _rug(pile, room, own, pick(dice, RUGS), int(dice.integers(65536)))
    pile.part = TRIM


def _ceiling_lamp(pile: Pile, room: Room, own: Sequence[Thing]) -> None:
    spot = _lamp_spot(room, own)
    if spot is None:
        return
    z = room.ceiling_at(spot.x, spot.y)
    shade = Finish(PLAIN, (0.78, 0.76, 0.71), optic=LAMP)
    metal = Finish(METAL, (0.4, 0.39, 0.37), strength=0.3)
    if room.polygon.area > 9.0 and z - room.floor > 2.65:
        pile.lathe(spot.x, spot.y, ((0.006, z - 0.22), (0.006, z - 0.02), (0.05, z - 0.02), (0.05, z)), metal, 8)
        bowl = (
            (0.0, z - 0.40),
            (0.10, z - 0.38),
            (0.17, z - 0.32),
            (0.17, z - 0.28),
            (0.10, z - 0.22),
            (0.0, z - 0.20),
        )
        pile.lathe(spot.x, spot.y, bowl, shade, 16)
    else:
        pile.lathe(spot.x, spot.y, ((0.0, z - 0.09), (0.10, z - 0.075), (0.15, z - 0.03), (0.15, z - 0.0)), shade, 16)


def _lamp_spot(room: Room, own: Sequence[Thing]) -> Point | None:
    """The middle of a room, or a spot beside it, under level ceiling and clear of tall things; None if none is."""
    middle = room.polygon.centroid
    if not room.polygon.buffer(-0.25).contains(middle):
        middle = room.polygon.representative_point()
    tall = [Polygon(thing.outline) for thing in own if thing.height_m > 1.9]
    for dx, dy in ((0.0, 0.0), (0.6, 0.0), (-0.6, 0.0), (0.0, 0.6), (0.0, -0.6), (1.2, 0.0), (-1.2, 0.0)):
        spot = Point(middle.x + dx, middle.y + dy)
        if not room.polygon.buffer(-0.25).contains(spot) or any(block.distance(spot) < 0.3 for block in tall):
            continue
        round_about = [room.ceiling_at(spot.x + x, spot.y + y) for x in (-0.2, 0.2) for y in (-0.2, 0.2)]
        if min(round_about) >= room.ceiling_at(spot.x, spot.y) - 0.01:
            return spot
    return None


def _rug(pile: Pile, room: Room, own: Sequence[Thing], colours: tuple[Rgb, Rgb], seed: int) -> None:
    floor = room.polygon.buffer(-0.12)
    tables = [t for t in own if t.kind == "table" and t.height_m < 0.5] or [t for t in own if t.kind == "bed"]
    if not tables:
        return
    x0, y0, x1, y1 = Polygon(tables[0].outline).bounds
    for grow in (0.75, 0.6, 0.45):
        box = shapely.box(x0 - grow, y0 - grow, x1 + grow, y1 + grow).intersection(floor)
        if box.geom_type == "Polygon" and abs(box.area - box.envelope.area) < 1e-6 and box.area > 1.2:
            break
    else:
        return
    u0, v0, u1, v1 = box.bounds
    z = room.floor + 0.006
    wide, deep = u1 - u0, v1 - v0
    finish = Finish(RUG, colours[0], colours[1], (wide, deep), seed=seed)
    pile.quad((u0, v0, z), (wide, 0.0, 0.0), (0.0, deep, 0.0), finish)


__all__ = ["SKIRTING_M", "dress_room", "dress_wall", "spans"]
