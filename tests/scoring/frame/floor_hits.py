"""Counting floor by the pixels of frames and by rays, to set beside the sight engine's exact polygons."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from scoring.floor.cover import SpaceKey, floor_seen, floors, reach_m
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Station
from scoring.floor.read import read_kit, read_plan, read_standard
from scoring.frame.scene import Scene, build_scene, evenly_lit
from scoring.frame.shoot import shoot
from scoring.frame.solids import COUNTED, FLOOR, TRIM
from scoring.frame.spin import lens_point
from scoring.frame.stage import staged
from scoring.frame.take import Take
from scoring.frame.trace import first_hits
from tests.scoring.frame.even_rooms import even_sky

SCENARIOS = Path(__file__).parents[3] / "scenarios"
FLOORS = sorted(path.stem for path in (SCENARIOS / "floors").glob("*.json"))
CLEAR_M = 0.25
HEIGHT_PX = 1024
"""Rows of the frames whose pixels are counted."""
SEED = 5


@cache
def place_of(name: str) -> Place:
    """A shipped floor with a shipped kit under the house standard."""
    plan = read_plan((SCENARIOS / "floors" / f"{name}.json").read_bytes())
    kit = read_kit((SCENARIOS / "kits" / "plover-four.json").read_bytes())
    return prepare(plan, kit, read_standard((SCENARIOS / "standards" / "house.json").read_bytes()))


@cache
def scene_of_floor(name: str, level: int) -> Scene:
    """The scene of one level of a shipped floor."""
    return build_scene(place_of(name).plan, level, seed=SEED)


def random_station(place: Place, dice: np.random.Generator) -> Station:
    """A station anywhere in a room, as far from its walls as a tripod keeps and under its ceiling."""
    while True:
        level = int(dice.integers(len(place.storeys)))
        rooms = [room for room in place.storeys[level].rooms if room.space.cover]
        room = rooms[int(dice.integers(len(rooms)))]
        x0, y0, x1, y1 = room.polygon.bounds
        station = Station(level=level, x=float(dice.uniform(x0, x1)), y=float(dice.uniform(y0, y1)))
        clear = room.polygon.buffer(-CLEAR_M).contains(shapely.Point(station.x, station.y))
        clear = clear and room.ceiling_at(station.x, station.y) > room.floor + place.kit.lens_height_m
        if clear and place.room(station) is room and floor_seen(place, station):
            return station


def below() -> Any:
    """Where the pixels of a frame's lower half look, by the frame's rule: forward (east here), left, up."""
    lat = math.pi * (0.5 - (np.arange(HEIGHT_PX // 2, HEIGHT_PX) + 0.5) / HEIGHT_PX)
    lon = 2.0 * math.pi * ((np.arange(2 * HEIGHT_PX) + 0.5) / (2 * HEIGHT_PX) - 0.5)
    rows, columns = np.meshgrid(lat, lon, indexing="ij")
    rays = np.stack([np.cos(rows) * np.cos(columns), -np.cos(rows) * np.sin(columns), np.sin(rows)], axis=-1)
    return rays.reshape(-1, 3)


def floor_by_blocks(place: Place, scene: Scene, station: Station) -> dict[SpaceKey, float]:
    """Floor seen by space [m2]: every pixel whose ray meets a floor adds what it covers, things taken as blocks.

    A pixel between two elevations and two azimuths covers, on a floor h below the lens, the sector between the
    distances h / tan of them, as far as the range.
    """
    z = place.lens_z(station)
    assert z is not None
    at = np.array([station.x, station.y, z])
    rays = below()
    blocks, _ = first_hits(scene, at, rays, COUNTED)
    floor = (blocks >= 0) & (scene.part[blocks] == FLOOR)
    return _by_space(place, scene, station, at, rays[floor], blocks[floor])


def floor_by_frame(place: Place, scene: Scene, station: Station) -> tuple[dict[SpaceKey, float], dict[SpaceKey, float]]:
    """Floor that a frame shows by space [m2], counted by its own pixels: what the merger says that each of them shows.

    Of two things the sight engine knows nothing, and of each the count is made even with it. It takes things as
    blocks: floor that shows between the legs of a table does not count. It draws no frames, casings, curtains and
    skirtings: the first answer counts a pixel that shows one as the floor behind it, the second does not.
    """
    take = Take(plan=place.plan, kit=place.kit, station=station, seed=SEED)
    at = lens_point(take)
    assert at[2] == pytest.approx(place.lens_z(station))
    stage = staged(take, at, scene, evenly_lit(scene), even_sky())
    frame = shoot(stage, take, 2 * HEIGHT_PX, (0, HEIGHT_PX // 2, 2 * HEIGHT_PX, HEIGHT_PX // 2))
    rays, faces, far = below(), frame.faces.ravel(), frame.distances_m.ravel()
    blocks, block_far = first_hits(scene, np.array(at), rays, COUNTED)
    open_floor = (blocks >= 0) & (scene.part[blocks] == FLOOR)
    bare = open_floor & (faces >= 0) & (scene.part[faces] == FLOOR) & (far > 0.98 * block_far - 0.02)
    trim = open_floor & (faces >= 0) & (scene.part[faces] == TRIM)
    behind = np.where(bare, faces, blocks)
    whole, without = (
        _by_space(place, scene, station, np.array(at), rays[shown], behind[shown]) for shown in (bare | trim, bare)
    )
    return whole, without


def owner_of_level(place: Place, level: int) -> int:
    """The first owner of a level: its first space."""
    return sum(len(one.spaces) + len(one.openings) + len(one.things) for one in place.plan.levels[:level])


def _by_space(place: Place, scene: Scene, station: Station, at: Any, rays: Any, faces: Any) -> dict[SpaceKey, float]:
    first = owner_of_level(place, station.level)
    found: dict[SpaceKey, float] = {}
    rooms = place.storeys[station.level].rooms
    half = math.pi / HEIGHT_PX / 2.0
    lat = -np.arcsin(rays[:, 2])
    for owner in np.unique(scene.owner[faces]):
        if not first <= owner < first + len(rooms):
            continue
        room = rooms[owner - first]
        mine = lat[scene.owner[faces] == owner]
        height = at[2] - room.floor
        reach = reach_m(place, height, outdoor=room.space.outdoor)
        near, far = (np.minimum(height / np.tan(np.maximum(mine + s * half, 1e-9)), reach) for s in (1.0, -1.0))
        found[station.level, room.space.id] = float((half * (far**2 - near**2)).sum())
    return found


def floor_by_points(place: Place, scene: Scene, station: Station, step_m: float) -> dict[SpaceKey, tuple[float, float]]:
    """By space: floor that rays reach, on a lattice of points of it, and where the sight engine says otherwise [m2]."""
    z = place.lens_z(station)
    assert z is not None
    at = np.array([station.x, station.y, z])
    seen = floor_seen(place, station)
    every = floors(place, station.level)
    found = {}
    for room, area in zip(every.rooms, every.areas, strict=True):
        key = (station.level, room.space.id)
        reach = reach_m(place, z - room.floor, outdoor=room.space.outdoor)
        if area.is_empty or reach <= 0.0 or area.distance(shapely.Point(station.x, station.y)) > reach:
            continue
        x0, y0, x1, y1 = area.bounds
        across, along = np.arange(x0 + 0.37 * step_m, x1, step_m), np.arange(y0 + 0.59 * step_m, y1, step_m)
        x, y = (v.ravel() for v in np.meshgrid(across, along))
        inside = shapely.contains_xy(area, x, y) & (np.hypot(x - station.x, y - station.y) <= reach)
        spots = np.column_stack([x[inside], y[inside], np.full(int(inside.sum()), room.floor)])
        _, far = first_hits(scene, at, spots - at, COUNTED)
        lit = np.abs(far - 1.0) < 1e-6
        engine = shapely.contains_xy(seen[key], spots[:, 0], spots[:, 1]) if key in seen else np.zeros(len(spots), bool)
        found[key] = float(lit.sum()) * step_m**2, float((lit != engine).sum()) * step_m**2
    return found


__all__ = [
    "FLOORS",
    "floor_by_blocks",
    "floor_by_frame",
    "floor_by_points",
    "place_of",
    "random_station",
    "scene_of_floor",
]
