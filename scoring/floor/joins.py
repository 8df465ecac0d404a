"""Whether the openings of a plan join what they say they join.

An opening is its jambs' segment thickened by the wall's depth. Its two long sides must lie on the outlines of the
two spaces it names, all along::

        space A  ══════╗ long side  ╔══════
                       ║ · · jambs · · ║   depth_m
        space B  ══════╝ long side  ╚══════
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from scoring.border import Problem
from scoring.floor.drawn import OVERLAP_MAX_M2, STEP_MAX_M, TOUCH_M, Drawn, ceiling_at, crossing_pairs, floor_at, room
from scoring.floor.plan import OUTSIDE, WALK_KINDS, Opening, Plan, Space

WALK_WIDTH_MIN_M = 0.5
"""Narrower is no door or passage but a slip of the pen."""
OPENING_WIDTH_MIN_M = 0.2
SILL_WALK_MAX_M = 0.25
BEYOND_M = 0.02
LEAF_HIT_M2 = 1e-3

Sides = tuple[LineString, LineString]


def check_openings(plan: Plan, drawn: Sequence[Drawn]) -> Iterator[Problem]:
    """Problems of all openings and their leaves."""
    for level in drawn:
        known = {space.id for space in level.level.spaces}
        sound: list[tuple[int, Opening, Polygon]] = []
        for index, opening in enumerate(level.level.openings):
            where = f"levels[{level.number}].openings[{index}]"
            found = list(_check_opening(opening, where, level, known))
            yield from found
            if not found:
                quad = opening_quad(opening)
                sound.append((index, opening, quad))
                yield from _check_leaf(opening, where, level, quad)
        for i, j in crossing_pairs([quad for _, _, quad in sound]):
            (_, a, _), (index, b, _) = sound[i], sound[j]
            if min(a.head_m, b.head_m) > max(a.sill_m, b.sill_m):
                where = f"levels[{level.number}].openings[{index}].jambs"
                yield Problem(where, f"{_name(b)} and {_name(a)} run through each other")


def opening_quad(opening: Opening) -> Polygon:
    """The hole in the wall, in plan: the jambs' segment thickened by the wall's depth."""
    one, other = _sides(opening)
    return Polygon([*one.coords, *reversed(other.coords)])


def _sides(opening: Opening) -> Sides:
    a, b = (np.asarray(jamb) for jamb in opening.jambs)
    along = (b - a) / np.linalg.norm(b - a)
    off = np.array([-along[1], along[0]]) * opening.depth_m / 2.0
    return LineString([a + off, b + off]), LineString([a - off, b - off])


def _name(opening: Opening) -> str:
    return f"{opening.kind} '{opening.id}'"


def _check_opening(opening: Opening, where: str, drawn: Drawn, known: set[str]) -> Iterator[Problem]:
    who = _name(opening)
    ends = [end for end in opening.between if end != OUTSIDE]
    for index, end in enumerate(opening.between):
        if end != OUTSIDE and end not in known:
            yield Problem(f"{where}.between[{index}]", f"{who} joins {end!r}, but this level has no such space")
    if not ends or opening.between[0] == opening.between[1]:
        yield Problem(f"{where}.between", f"{who} must join two different spaces, or one and the outside")
    if opening.sill_m >= opening.head_m:
        yield Problem(f"{where}.head_m", f"{who}: its head ({opening.head_m:.2f} m) is not above its sill")
    if opening.kind in WALK_KINDS and opening.sill_m > SILL_WALK_MAX_M:
        yield Problem(f"{where}.sill_m", f"{who}: nobody walks over a sill of {opening.sill_m:.2f} m")
    yield from _check_leaf_names(opening, where)
    width = math.dist(*opening.jambs)
    least = WALK_WIDTH_MIN_M if opening.kind in WALK_KINDS else OPENING_WIDTH_MIN_M
    if width < least:
        yield Problem(f"{where}.jambs", f"{who}: its jambs are {width:.2f} m apart; at least {least:.2f} m is needed")
        return
    spaces = [drawn.spaces[end].value for end in ends if end in drawn.spaces]
    if len(spaces) == len(ends) and opening.between[0] != opening.between[1]:
        yield from _check_sides(opening, where, drawn)
        yield from _check_heights(opening, where, drawn, spaces)


def _check_sides(opening: Opening, where: str, drawn: Drawn) -> Iterator[Problem]:
    """Its two long sides lie on the outlines of the two spaces, and its hole cuts into no space."""
    sides = _sides(opening)
    offs = [[_off(side, drawn, end) for side in sides] for end in opening.between]
    straight, crossed = (offs[0][0], offs[1][1]), (offs[0][1], offs[1][0])
    chosen = straight if sum(straight) <= sum(crossed) else crossed
    for off, end in zip(chosen, opening.between, strict=True):
        if off > TOUCH_M:
            name = room(drawn.spaces[end].value)
            words = f"{_name(opening)} does not join {name}: its side lies up to {off:.4f} m from that outline"
            yield Problem(f"{where}.jambs", words)
    quad = opening_quad(opening)
    beyond = quad.buffer(BEYOND_M, cap_style="flat", join_style="mitre") if OUTSIDE in opening.between else quad
    for id_, item in drawn.spaces.items():
        if not beyond.intersects(item.shape):
            continue
        if quad.intersection(item.shape).area > OVERLAP_MAX_M2:
            yield Problem(f"{where}.jambs", f"{_name(opening)}: its hole cuts into {room(item.value)}")
        elif id_ not in opening.between and beyond.intersection(item.shape).area > OVERLAP_MAX_M2:
            words = f"{_name(opening)}: beyond it lies {room(item.value)}, not the outside"
            yield Problem(f"{where}.between", words)


def _off(side: LineString, drawn: Drawn, end: str) -> float:
    """How far a side strays from a space's outline [m]; 0 for the outside, which is not drawn."""
    if end == OUTSIDE:
        return 0.0
    return line_off(np.asarray(side.coords), drawn.spaces[end].shape)


def line_off(line: NDArray[np.float64], shape: Polygon) -> float:
    """The farthest that a segment strays from a polygon's outline [m]."""
    parts = np.linspace(0.0, 1.0, 9)[:, None]
    points = shapely.points(line[0] * (1.0 - parts) + line[1] * parts)
    return float(shapely.distance(points, shape.exterior).max())


def _check_heights(opening: Opening, where: str, drawn: Drawn, spaces: Sequence[Space]) -> Iterator[Problem]:
    base = min(floor_at(drawn, space) for space in spaces)
    for space in spaces:
        rise = floor_at(drawn, space) - base
        shape = drawn.spaces[space.id].shape
        side = min(_sides(opening), key=lambda line: float(line.distance(shape)))
        ceiling = rise + min(ceiling_at(space, drawn.level, x, y) for x, y in side.coords)
        if opening.head_m > ceiling + 1e-3:
            words = f"{_name(opening)}: its head ({opening.head_m:.2f} m) is above the ceiling of {room(space)}"
            yield Problem(f"{where}.head_m", f"{words} there ({ceiling:.2f} m)")
        if opening.kind in WALK_KINDS and rise > STEP_MAX_M + 1e-3:
            words = f"{_name(opening)}: a step of {rise:.2f} m between the floors it joins; draw a flight"
            yield Problem(f"{where}.between", words)


def _check_leaf_names(opening: Opening, where: str) -> Iterator[Problem]:
    if opening.leaf is None:
        return
    if opening.kind != "door":
        yield Problem(f"{where}.leaf", f"{_name(opening)}: only a door has a leaf")
    if opening.leaf.into not in opening.between:
        words = f"{_name(opening)}: its leaf swings into {opening.leaf.into!r}, which it does not join"
        yield Problem(f"{where}.leaf.into", words)


def _check_leaf(opening: Opening, where: str, drawn: Drawn, quad: Polygon) -> Iterator[Problem]:
    """The open leaf of a sound door stands in the room it swings into, not in a thing."""
    leaf = opening.leaf
    if leaf is None or leaf.into not in drawn.spaces or leaf.open_deg == 0.0:
        return
    home = drawn.spaces[leaf.into]
    line = leaf_line(opening, home.shape)
    for item in drawn.things.get(leaf.into, ()):
        if item.value.base_m >= opening.head_m or not item.shape.intersects(line):
            continue
        if item.shape.intersection(line.buffer(leaf.thickness_m / 2.0, cap_style="flat")).area > LEAF_HIT_M2:
            words = f"{_name(opening)}: its open leaf hits the {item.value.kind} '{item.value.name}'"
            yield Problem(f"{where}.leaf.open_deg", words)


def leaf_line(opening: Opening, into: Polygon) -> LineString:
    """The middle line of an open leaf, from its hinge on the face of the wall toward the room it swings into."""
    assert opening.leaf is not None
    face = min(_sides(opening), key=lambda side: float(side.distance(into)))
    hinge = np.asarray(face.coords[opening.leaf.hinge])
    other = np.asarray(face.coords[1 - opening.leaf.hinge])
    along = other - hinge
    middle = (np.asarray(opening.jambs[0]) + np.asarray(opening.jambs[1])) / 2.0
    inward = np.asarray(face.interpolate(0.5, normalized=True).coords[0]) - middle
    inward = inward / np.linalg.norm(inward) * np.linalg.norm(along)
    turn = math.radians(opening.leaf.open_deg)
    return LineString([hinge, hinge + along * math.cos(turn) + inward * math.sin(turn)])


__all__ = ["check_openings", "leaf_line", "line_off", "opening_quad"]
