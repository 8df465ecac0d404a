"""Where a frame for looking at is taken: allowed stations whose seams fall on something near and something far.

Faults tell themselves apart by distance, so a fair frame has, on some of its seams, an edge at arm's length and one
across the room::

        wall beyond far_m
      ───────┬───────────
             │seam
         ┌───┴──┐
         │ table│  its edge within near_m of the lens
         └───┬──┘
             ◆ station, facing so that its seams go there

What is drawn on the plan only proposes; the measured frame decides (scoring.frame.measure: near_seams, far_seams).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from random import Random

import numpy as np
import shapely
from numba import njit
from numpy.typing import NDArray

from scoring.floor.bands import band
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import DOOR_LINE_USES, Station
from scoring.floor.shapes import Room
from scoring.floor.stands import stand
from scoring.kinds.case import snapped

Rows = NDArray[np.float64]

STEP_DEG = 3
"""Directions are looked into by this step."""
SPARE_M = 0.08
"""So much nearer, or farther, than asked for, so that the measured frame agrees."""
CLEAR_M = 0.35
"""Nothing at lens height is nearer: a frame with a wall at arm's length teaches that one thing only."""
THROWS = 4000


@quiet
def viewpoints(
    place: Place, rng: Random, *, most: int, spaces: Sequence[str] = (), outdoor: bool = False
) -> list[tuple[Station, float]]:
    """Up to ``most`` allowed stations in random rooms (of the named ones, if any), with the direction to face
    [deg counter-clockwise from east]."""
    rooms = [
        (level, room)
        for level, storey in enumerate(place.storeys)
        for room in storey.rooms
        if room.space.outdoor is outdoor
        and room.space.use not in DOOR_LINE_USES
        and (not spaces or room.space.id in spaces)
    ]
    found: list[tuple[Station, float]] = []
    edges = {(level, room.space.id): _edges(place, level, room) for level, room in rooms}
    sights = {(level, room.space.id): _sight(place, level, room) for level, room in rooms}
    weights = [room.polygon.area**0.5 for _, room in rooms]
    for _ in range(THROWS if rooms else 0):
        level, room = rng.choices(rooms, weights)[0]
        left, low, right, high = room.polygon.bounds
        station = snapped(Station(level=level, x=rng.uniform(left, right), y=rng.uniform(low, high)))
        if not shapely.contains_xy(room.polygon, station.x, station.y):
            continue
        facing = _facing(place, station, edges[level, room.space.id], sights[level, room.space.id], rng)
        if facing is None:
            continue
        held = stand(place, station)
        if held.allowed and held.firm and held.clearance_m >= CLEAR_M:
            found.append((station, facing))
            if len(found) == most:
                break
    return found


def _edges(place: Place, level: int, room: Room) -> Rows:
    """Upper edges of a room's things (n, 5): x1, y1, x2, y2 and how far they are off the lens's height [m]."""
    lens = place.kit.lens_height_m
    rows = [
        (*thing.outline[i - 1], *thing.outline[i], max(0.0, lens - thing.height_m))
        for thing in place.plan.levels[level].things
        if thing.space == room.space.id and thing.base_m < lens
        for i in range(len(thing.outline))
    ]
    return np.array(rows).reshape(-1, 5)


def _sight(place: Place, level: int, room: Room) -> Rows:
    """What ends the view at lens height from a room, as segments (n, 5): doors and windows are open to it."""
    edges = band(place, level, room.floor + place.kit.lens_height_m, walk=False).edges
    return np.column_stack([edges, np.zeros(len(edges))])


def _facing(place: Place, station: Station, edges: Rows, sight: Rows, rng: Random) -> float | None:
    """A direction to face that puts enough seams on near edges and enough on far walls; None when there is none."""
    looking, count = place.standard.looking, place.kit.headings
    turns = np.arange(0.0, 360.0, STEP_DEG)
    near = _reach(station.x, station.y, edges, turns) < looking.near_m - SPARE_M
    if near.sum() < looking.seams_count:
        return None
    far = _reach(station.x, station.y, sight, turns) > looking.far_m + SPARE_M
    step = 360.0 / count
    faced = turns[turns < step]
    seams = np.round((faced[:, None] + step * (np.arange(count) + 0.5)) / STEP_DEG).astype(int) % len(turns)
    enough = np.minimum(near[seams].sum(axis=1), far[seams].sum(axis=1)) >= looking.seams_count
    fit: list[float] = faced[enough].tolist()
    if not fit:
        return None
    turned = rng.choice(fit) + step * rng.randrange(count)
    return (turned + 180.0) % 360.0 - 180.0


@njit(nogil=True, cache=True)
def _reach(x: float, y: float, segments: Rows, turns_deg: Rows) -> Rows:
    """How far the lens is from the nearest segment along each direction (n,) [m]; inf where there is none."""
    out = np.full(len(turns_deg), np.inf)
    for turn in range(len(turns_deg)):
        angle = math.radians(turns_deg[turn])
        dx, dy = math.cos(angle), math.sin(angle)
        for x1, y1, x2, y2, down in segments:
            ex, ey = x2 - x1, y2 - y1
            across = dx * ey - dy * ex
            if abs(across) > 1e-12:
                along = ((x1 - x) * ey - (y1 - y) * ex) / across
                share = ((x1 - x) * dy - (y1 - y) * dx) / across
                if along > 0.0 and 0.0 <= share <= 1.0:
                    out[turn] = min(out[turn], math.hypot(along, down))
    return out


__all__ = ["viewpoints"]
