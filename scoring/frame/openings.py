"""What fills openings: window frames with panes and curtains, the casings round doors, handles on leaves."""

from __future__ import annotations

import math
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point

from scoring.floor.plan import OUTSIDE
from scoring.floor.shapes import Hole, Room, Solid, Storey
from scoring.frame.decor import PANE, WOODWORK, dice_of, pick
from scoring.frame.finishes import METAL, PANEL, WEAVE, Finish, Rgb, dimmed
from scoring.frame.solids import COUNTED, PRISM, REAL, TRIM, Flat, Pile, Vector

PROFILE_M = 0.045
"""How wide a window's frame and sashes show."""
CASING_M = (0.07, 0.014)
"""Width and thickness of the casing round a door."""
CURTAINED = frozenset({"living", "bedroom", "dining", "study", "attic"})
CLOTHS: tuple[Rgb, ...] = (
    (0.60, 0.57, 0.51),
    (0.42, 0.44, 0.44),
    (0.50, 0.40, 0.30),
    (0.30, 0.37, 0.40),
    (0.46, 0.47, 0.38),
)


def fill_opening(pile: Pile, hole: Hole, storey: Storey, seed: int) -> None:
    """Add what an opening holds, leaf apart."""
    pile.part, pile.seen = TRIM, REAL
    rooms = {room.space.id: room for room in storey.rooms}
    window = hole.opening.kind in ("window", "glass")
    if window:
        _window(pile, hole)
    if not hole.walkable and hole.sill > hole.floor + 1e-9:
        _counted(pile, hole)
    for k, name in enumerate(hole.opening.between):
        side = 1.0 if k == 0 else -1.0
        if name == OUTSIDE or rooms[name].space.outdoor:
            continue
        if window:
            _inner_sill(pile, hole, side)
            if rooms[name].space.use in CURTAINED and hole.opening.kind == "window":
                _curtains(pile, hole, rooms[name], side, storey.holes, seed)
        elif hole.opening.kind == "door":
            _casing(pile, hole, side)


def _along(hole: Hole) -> tuple[Flat, Flat, float]:
    """First jamb, unit vector to the other, and the width between them [m]."""
    (ax, ay), (bx, by) = hole.opening.jambs
    width = math.hypot(bx - ax, by - ay)
    return (ax, ay), ((bx - ax) / width, (by - ay) / width), width


def _bar(pile: Pile, hole: Hole, s: Flat, q: Flat, z: Flat, finish: Finish) -> None:
    """A block in a wall: s along the opening, q along its normal from the middle of the wall, z absolute."""
    (ax, ay), (ux, uy), _ = _along(hole)
    nx, ny = hole.normal
    if ux * ny - uy * nx > 0.0:
        corner = (ax + ux * s[0] + nx * q[0], ay + uy * s[0] + ny * q[0], z[0])
        run = (ux * (s[1] - s[0]), uy * (s[1] - s[0]), 0.0)
    else:
        corner = (ax + ux * s[1] + nx * q[0], ay + uy * s[1] + ny * q[0], z[0])
        run = (-ux * (s[1] - s[0]), -uy * (s[1] - s[0]), 0.0)
    pile.block(corner, run, (nx * (q[1] - q[0]), ny * (q[1] - q[0]), 0.0), z[1] - z[0], finish)


def _window(pile: Pile, hole: Hole) -> None:
    """A frame, as many lights as fit, and a pane in each."""
    (ax, ay), (ux, uy), width = _along(hole)
    p, half = PROFILE_M, min(0.035, 0.3 * hole.opening.depth_m)
    q = (-half, half)
    low, high = hole.sill, hole.head
    for z in ((low, low + p), (high - p, high)):
        _bar(pile, hole, (0.0, width), q, z, WOODWORK)
    lights = max(1, round(width / (1.0 if hole.opening.kind == "window" else 1.3)))
    for k in range(lights + 1):
        s = min(max(0.0, k * width / lights - (p / 2 if 0 < k < lights else 0.0)), width - p)
        _bar(pile, hole, (s, s + p), q, (low + p, high - p), WOODWORK)
    pile.quad((ax, ay, low), (ux * width, uy * width, 0.0), (0.0, 0.0, high - low), PANE)


def _counted(pile: Pile, hole: Hole) -> None:
    """Floor seen through a window or a pane over a sill does not count: the sight engine has a wall there."""
    (ax, ay), (ux, uy), width = _along(hole)
    pile.part, pile.seen = PRISM, COUNTED
    pile.quad((ax, ay, hole.sill), (ux * width, uy * width, 0.0), (0.0, 0.0, hole.head - hole.sill), WOODWORK)
    pile.part, pile.seen = TRIM, REAL


def _inner_sill(pile: Pile, hole: Hole, side: float) -> None:
    if hole.opening.sill_m < 0.2:
        return
    _, _, width = _along(hole)
    depth = hole.opening.depth_m / 2.0
    q = (depth, depth + 0.035) if side > 0 else (-depth - 0.035, -depth)
    _bar(pile, hole, (-0.04, width + 0.04), q, (hole.sill - 0.025, hole.sill), WOODWORK)


def _casing(pile: Pile, hole: Hole, side: float) -> None:
    """Flat boards round a doorway on one face of the wall."""
    _, _, width = _along(hole)
    wide, thick = CASING_M
    depth = hole.opening.depth_m / 2.0
    q = (depth, depth + thick) if side > 0 else (-depth - thick, -depth)
    for s in ((-wide, 0.0), (width, width + wide)):
        _bar(pile, hole, s, q, (hole.floor, hole.head + wide), WOODWORK)
    _bar(pile, hole, (0.0, width), q, (hole.head, hole.head + wide), WOODWORK)


def dress_leaf(pile: Pile, solid: Solid) -> None:
    """Panels and lever handles on both faces of a door's leaf; its hinge is at the outline's first short side."""
    ring = shapely.get_coordinates(solid.polygon)[:-1].tolist()
    k = max(range(4), key=lambda i: math.dist(ring[i], ring[(i + 1) % 4]))
    pile.part, pile.seen = TRIM, REAL
    free = _free_end(ring, k, solid)
    for start in (k, (k + 2) % 4):
        (ax, ay), (bx, by) = ring[start], ring[(start + 1) % 4]
        wide = math.dist((ax, ay), (bx, by))
        ux, uy = (bx - ax) / wide, (by - ay) / wide
        out = (uy, -ux)

        def at(s: float, lift: float, z: float, a: Flat = (ax, ay), u: Flat = (ux, uy), n: Flat = out) -> Vector:
            return (a[0] + u[0] * s + n[0] * lift, a[1] + u[1] * s + n[1] * lift, solid.base + z)

        high = solid.top - solid.base
        for z0, z1 in ((0.16, 0.82), (1.02, high - 0.14)):
            if wide > 0.5 and z1 - z0 > 0.3:
                field = (wide - 0.24, z1 - z0)
                look = WOODWORK._replace(pattern=PANEL, second=dimmed(WOODWORK.colour, 0.6), scale_m=field)
                pile.quad(at(0.12, 0.0008, z0), (ux * field[0], uy * field[0], 0.0), (0.0, 0.0, field[1]), look)
        near = math.dist((ax, ay), free) < math.dist((bx, by), free)
        s, turn = (0.07, 1.0) if near else (wide - 0.07, -1.0)
        metal = Finish(METAL, (0.42, 0.41, 0.40), strength=0.3)
        left, right = min(s, s + turn * 0.11), max(s, s + turn * 0.11)
        pile.block(at(right, 0.03, 0.99), (-ux * (right - left), -uy * (right - left), 0.0),
                   (out[0] * 0.015, out[1] * 0.015, 0.0), 0.02, metal)  # fmt: skip
        pile.block(at(s + 0.012, 0.0, 0.98), (-ux * 0.024, -uy * 0.024, 0.0), (out[0] * 0.03, out[1] * 0.03, 0.0),
                   0.035, metal)  # fmt: skip


def _free_end(ring: list[list[float]], k: int, solid: Solid) -> Flat:
    """The end of a leaf that swings: the far one from its pin, which is the outline's first corner as drawn."""
    pin = shapely.get_coordinates(solid.polygon)[0].tolist()
    ends = [ring[k], ring[(k + 1) % 4]]
    far = max(ends, key=lambda p: math.dist(p, pin))
    return (far[0], far[1])


def _curtains(pile: Pile, hole: Hole, room: Room, side: float, holes: tuple[Hole, ...], seed: int) -> None:
    """Two gathered lengths on a rod, beside the window, ending over the floor; none in front of another opening."""
    (ax, ay), (ux, uy), width = _along(hole)
    nx, ny = side * hole.normal[0], side * hole.normal[1]
    depth = hole.opening.depth_m / 2.0
    if width < 0.7:
        return
    dice = dice_of(seed, f"{room.space.id} curtains")
    cloth = Finish(WEAVE, pick(dice, CLOTHS), strength=0.4, seed=int(dice.integers(999)))
    wide = min(0.42, 0.26 * width + 0.08)
    top = min(hole.head + 0.13, room.ceiling_at(ax + nx * (depth + 0.1), ay + ny * (depth + 0.1)) - 0.04)
    low = hole.sill - 0.14 if hole.opening.sill_m > 0.45 else room.floor + 0.03
    hung = False
    for s0 in (-0.62 * wide, width - 0.38 * wide):
        ends = [
            (ax + ux * s + nx * (depth + 0.12), ay + uy * s + ny * (depth + 0.12))
            for s in (s0 - 0.03, s0 + wide + 0.03)
        ]
        if not all(room.polygon.contains(Point(p)) for p in ends):
            continue
        if any(other is not hole and other.polygon.distance(LineString(ends)) < 0.14 for other in holes):
            continue
        hung = True
        folds = 14
        line: list[tuple[float, float]] = []
        for k in range(folds + 1):
            s = s0 + wide * k / folds
            q = depth + 0.07 + 0.028 * math.sin(2.2 * k) * (1.0 if k % 2 else 0.8)
            line.append((ax + ux * s + nx * q, ay + uy * s + ny * q))
        if ux * ny - uy * nx > 0.0:
            line.reverse()
        for (x0, y0), (x1, y1) in pairwise(line):
            facet: tuple[Vector, ...] = ((x0, y0, low), (x1, y1, low), (x1, y1, top), (x0, y0, top))
            pile.facet(facet, cloth)
    if hung:
        metal = Finish(METAL, (0.18, 0.16, 0.14), strength=0.3)
        near, far = (depth + 0.06, depth + 0.08) if side > 0 else (-depth - 0.08, -depth - 0.06)
        _bar(pile, hole, (-0.7 * wide, width + 0.7 * wide), (near, far), (top, top + 0.02), metal)


__all__ = ["CASING_M", "PROFILE_M", "dress_leaf", "fill_opening"]
