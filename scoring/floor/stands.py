"""Stands: whether a tripod may stand at a spot, and if not, every reason why not.

The strict verdict of a spot is a list of *gaps*: how far each rule is from failing there (negative: it fails).
The placement error gives the benefit: a spot is allowed when some spot within that error is strictly allowed,
and *firm* when all of them say the same. What a gap has to spare changes by no more than a spot moves, which settles
most spots without looking round: under what hangs it is the way out from under it, under a slope the way along it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from scoring.floor.bands import band
from scoring.floor.findings import Spot, Stand, StandFault, StandReason
from scoring.floor.footing import standing_floor, what_at
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import NO_STAND_USES, Segment, Station
from scoring.floor.shapes import Room, height_at, the
from scoring.floor.sight import Array, nearest
from scoring.floor.strips import strip

LOOK_ROUND = tuple(
    (share * math.cos(math.radians(turn)), share * math.sin(math.radians(turn)))
    for share in (1.0, 0.5)
    for turn in range(0, 360, 45)
)
"""Where to look round a spot, in placement errors along and across the way off what is nearest."""

ROUNDING_M = 1e-9


@dataclass(frozen=True, slots=True)
class Gap:
    """One rule at one spot: it fails when the value is below the limit [m]."""

    fault: StandFault
    value: float
    limit: float
    at: Spot
    what: str
    spare_m: float | None = None
    """How far the spot may move before the rule fails, where that is not the value less its limit [m]."""

    @property
    def spare(self) -> float:
        """How far the spot is from failing [m]; negative when it fails by more than rounding."""
        spare = self.value - self.limit if self.spare_m is None else self.spare_m
        return 0.0 if abs(spare) < ROUNDING_M else spare


@dataclass(frozen=True, slots=True)
class Edges:
    """Unguarded drops and water of a level: segments with their words."""

    lines: Array
    words: tuple[str, ...]


@quiet
def stand(place: Place, station: Station) -> Stand:
    """Whether a tripod may stand at a station, with every hard reason against it and the clearance round it."""
    room = place.room(station)
    gaps = strict(place, station)
    worst = min(gaps, key=lambda gap: gap.spare)
    failed = [gap for gap in gaps if gap.spare < 0.0]
    clearance, at, what = _clearance(place, station, room)
    error = place.standard.placement_error_m
    firm = True
    if error > 0.0 and abs(worst.spare) <= error:
        off = worst.at if worst.at != (station.x, station.y) else at
        verdicts = [passes(place, moved) for moved in _round(station, off, error)]
        firm = all(verdict != bool(failed) for verdict in verdicts)
        if failed and any(verdicts):
            failed = []
    reasons = tuple(StandReason(g.fault, g.value, g.limit, g.at, g.what) for g in failed)
    return Stand(station.level, None if room is None else room.space.id, reasons, clearance, at, what, firm)


def strict(place: Place, station: Station) -> list[Gap]:
    """Every rule that has a say at that very spot, without any benefit."""
    here = (station.x, station.y)
    room = place.room(station)
    if room is None:
        return [_nowhere(place, station)]
    kit, level = place.kit, station.level
    gaps: list[Gap] = []
    if room.space.use in NO_STAND_USES:
        depth, rim = _rim(room.polygon, station)
        gaps.append(Gap("no-stand-zone", -max(depth, 2.0 * ROUNDING_M), 0.0, rim, the(room.space.name)))
    footing = standing_floor(place, level, room.floor)
    on_floor = shapely.contains_xy(footing.region, station.x, station.y)
    free, fx, fy = nearest(footing.edges, station.x, station.y)
    under = what_at(place, level, room, (fx, fy)) if free < kit.leg_radius_m or not on_floor else ""
    if not on_floor:
        gaps.append(Gap("outside", -max(free, 2.0 * ROUNDING_M), 0.0, here, under))
    else:
        gaps.append(Gap("legs", free, kit.leg_radius_m, (fx, fy), under))
    gaps += _ends(place, station, room)
    gaps += _edges_near(place, station, room)
    gaps += _overhead(place, station, room)
    return gaps


@quiet
def passes(place: Place, station: Station) -> bool:
    """Whether a tripod may stand at that very spot, without any benefit."""
    return all(gap.spare >= 0.0 for gap in strict(place, station))


def _round(station: Station, off: Spot, error: float) -> list[Station]:
    """Spots round a station, the first ones straight off a spot: turning the plan turns them with it."""
    size = math.hypot(station.x - off[0], station.y - off[1])
    u, v = ((station.x - off[0]) / size, (station.y - off[1]) / size) if size > 0.0 else (1.0, 0.0)
    return [
        Station(level=station.level, x=station.x + error * (a * u - b * v), y=station.y + error * (a * v + b * u))
        for a, b in LOOK_ROUND
    ]


def _rim(polygon: Any, station: Station) -> tuple[float, Spot]:
    """How deep a station lies in a polygon [m], and the nearest point of its rim."""
    line = shapely.shortest_line(shapely.boundary(polygon), shapely.Point(station.x, station.y))
    x, y = shapely.get_coordinates(line)[0]
    return float(line.length), (float(x), float(y))


def _nowhere(place: Place, station: Station) -> Gap:
    """Why a spot is in no space: on a flight, in a doorway, in a wall or off the plan."""
    here = (station.x, station.y)
    point = shapely.Point(here)
    if station.level >= len(place.storeys):
        return Gap("outside", -math.inf, 0.0, here, "off the plan")
    for run in place.runs:
        if station.level in (run.flight.foot.level, run.flight.head.level) and run.polygon.covers(point):
            depth, rim = _rim(run.polygon, station)
            return Gap("on-flight", -max(depth, 2.0 * ROUNDING_M), 0.0, rim, the(run.flight.name))
    hole = place.doorway(station)
    if hole is not None:
        half = hole.opening.depth_m / 2.0
        off = (station.x - hole.middle[0]) * hole.normal[0] + (station.y - hole.middle[1]) * hole.normal[1]
        what = _way_words(place, station.level, hole.opening.between)
        return Gap("way-out", min(abs(off) - half, -2.0 * ROUNDING_M), 0.0, hole.middle, what)
    storey = place.storeys[station.level]
    near = min(storey.rooms, key=lambda room: room.polygon.distance(point))
    gap = float(near.polygon.distance(point))
    return Gap("outside", -max(gap, 2.0 * ROUNDING_M), 0.0, here, f"a wall of {the(near.space.name)}")


def _way_words(place: Place, level: int, between: tuple[str, str]) -> str:
    names = [the(room.space.name) for room in place.storeys[level].rooms if room.space.id in between]
    return f"the doorway between {names[0]} and {names[1]}" if len(names) == 2 else f"the door of {names[0]}"


def _ends(place: Place, station: Station, room: Room) -> list[Gap]:
    """Foot and head of every flight that starts or ends on this very floor."""
    gaps = []
    for run in place.runs:
        for end, word in ((run.flight.foot, "foot"), (run.flight.head, "head")):
            floor = run.foot if word == "foot" else run.head
            if end.level == station.level and floor == room.floor:
                gap, x, y = nearest(_lines([end.edge]), station.x, station.y)
                if gap > _far(place) or not _open_to(place, station, room, x, y):
                    continue
                what = f"the {word} of {the(run.flight.name)}"
                limit = place.standard.flight_keep_off_m
                gaps.append(Gap("flight-end", gap - place.kit.leg_radius_m, limit, (x, y), what))
    return gaps


def _far(place: Place) -> float:
    """From here on the end of a flight matters to no verdict [m]."""
    return place.kit.leg_radius_m + place.standard.flight_keep_off_m + place.standard.placement_error_m


def _lines(segments: list[Segment]) -> Array:
    return np.array([(*a, *b) for a, b in segments], dtype=float).reshape(len(segments), 4)


def _open_edges(place: Place, level: int) -> Edges:
    """Unguarded edges, and pool outlines where no guarded edge runs along them; kept by the place."""

    def make() -> Edges:
        drawn = place.storeys[level].level.edges
        rows = [(edge.line, the(edge.name)) for edge in drawn if not edge.guarded]
        guards: Any = shapely.union_all([shapely.LineString(edge.line).buffer(0.3) for edge in drawn if edge.guarded])
        for room in place.storeys[level].rooms:
            if room.space.use != "pool":
                continue
            for part in shapely.get_parts(room.polygon.exterior.difference(guards)):
                at = [(float(x), float(y)) for x, y in shapely.get_coordinates(part)]
                rows += [((a, b), f"the edge of {the(room.space.name)}") for a, b in pairwise(at)]
        return Edges(_lines([line for line, _ in rows]), tuple(words for _, words in rows))

    return place.keep(("edges", level), make)


def _edges_near(place: Place, station: Station, room: Room) -> list[Gap]:
    """The nearest open edge that no wall keeps apart."""
    limit = place.standard.edge_keep_off_m
    edges = _open_edges(place, station.level)
    gaps = []
    for i, words in enumerate(edges.words):
        gap, x, y = nearest(edges.lines[i : i + 1], station.x, station.y)
        if gap > limit + place.standard.placement_error_m:
            continue
        if _open_to(place, station, room, x, y):
            gaps.append(Gap("edge", gap, limit, (x, y), words))
    return gaps


def _open_to(place: Place, station: Station, room: Room, x: float, y: float) -> bool:
    """Whether no wall stands between a station and a spot, looked at from 5 cm before it."""
    gap = math.hypot(x - station.x, y - station.y)
    short = max(0.0, 1.0 - 0.05 / gap) if gap > 0.0 else 0.0
    air = band(place, station.level, room.floor + place.kit.lens_height_m, walk=True)
    tx, ty = station.x + short * (x - station.x), station.y + short * (y - station.y)
    return bool(strip(air.edges, station.x, station.y, tx, ty)[0] > 0.0)


def _overhead(place: Place, station: Station, room: Room) -> list[Gap]:
    """Free height over the lens, and what the head, its mast or the phone would touch."""
    kit, standard = place.kit, place.standard
    here = (station.x, station.y)
    point = shapely.Point(here)
    z = room.floor + kit.lens_height_m
    over = _under_ceiling(place, station, room, z)
    gaps = []
    for solid in place.storeys[station.level].solids:
        if not solid.hangs:
            continue
        gap = float(solid.polygon.distance(point))
        if gap > kit.mast_radius_m + standard.placement_error_m:
            continue
        if solid.base >= z:
            height_m = solid.base - z
            spare_m = max(height_m - standard.headroom_min_m, gap - kit.mast_radius_m)
            over.append(Gap("headroom", height_m, standard.headroom_min_m, here, solid.words, spare_m))
        else:
            near = shapely.get_coordinates(shapely.shortest_line(solid.polygon, point))[0]
            gaps.append(Gap("head-hits", gap, kit.mast_radius_m, (float(near[0]), float(near[1])), solid.words))
    low = [gap for gap in over if gap.spare < 0.0]
    if low:
        gaps.append(min(low, key=lambda gap: gap.value))
    elif over:
        gaps.append(min(over, key=lambda gap: gap.spare))
    return gaps


def _under_ceiling(place: Place, station: Station, room: Room, z: float) -> list[Gap]:
    """The height free under the ceiling over a lens at z [m], in a list; empty under the open sky."""
    if not room.ceilings:
        return []
    limit = place.standard.headroom_min_m
    over = room.ceiling_at(station.x, station.y) - z
    spare_m = min(
        (height_at(plane, station.x, station.y) - z - limit) / max(1.0, math.hypot(plane[1], plane[2]))
        for plane in room.ceilings
    )
    return [Gap("headroom", over, limit, (station.x, station.y), f"the ceiling of {the(room.space.name)}", spare_m)]


def _clearance(place: Place, station: Station, room: Room | None) -> tuple[float, Spot, str]:
    """Distance to the nearest wall or thing, at the floor or at the height of the lens [m]."""
    here = (station.x, station.y)
    if room is None:
        return 0.0, here, _nowhere(place, station).what
    found: tuple[float, Spot] = (math.inf, here)
    air = band(place, station.level, room.floor + place.kit.lens_height_m, walk=True)
    for bound in (standing_floor(place, station.level, room.floor), air):
        gap, x, y = nearest(bound.edges, station.x, station.y)
        if not shapely.contains_xy(bound.region, station.x, station.y):
            gap = 0.0
        if gap < found[0]:
            found = (gap, (x, y))
    if math.isinf(found[0]):
        return found[0], found[1], ""
    return found[0], found[1], what_at(place, station.level, room, found[1])


__all__ = ["Gap", "passes", "stand", "strict"]
