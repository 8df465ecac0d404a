"""Picture and grade agree: the floor that a frame's pixels show is the floor that the sight engine says is seen."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.floor.cover import floor_m2, floor_seen
from scoring.floor.plan import Station
from tests.scoring.frame.floor_hits import (
    FLOORS,
    floor_by_blocks,
    floor_by_frame,
    floor_by_points,
    place_of,
    random_station,
    scene_of_floor,
)

SHARE = 0.01
"""Agreement asked for: of the room's floor."""
LEAST_M2 = 0.02
"""What one row of pixels at a grazing angle may amount to in the smallest rooms [m2]."""


def check(name: str, station: Station) -> None:
    """Compare one station, three ways."""
    place = place_of(name)
    scene = scene_of_floor(name, station.level)
    seen = {key: float(region.area) for key, region in floor_seen(place, station).items()}
    points = floor_by_points(place, scene, station, 0.08)
    blocks = floor_by_blocks(place, scene, station)
    picture, bare = floor_by_frame(place, scene, station)
    for key in set(seen) | set(points) | set(blocks) | set(picture):
        floor, engine = floor_m2(place, *key), seen.get(key, 0.0)
        within = max(SHARE * floor, LEAST_M2)
        where = f"{name}, {key}, from ({station.x:.3f}, {station.y:.3f}) on level {station.level}"
        assert points.get(key, (0.0, 0.0))[1] <= within, f"points of the floor seen by one and not the other: {where}"
        assert blocks.get(key, 0.0) == pytest.approx(engine, abs=within), f"pixels with things as blocks: {where}"
        assert picture.get(key, 0.0) == pytest.approx(engine, abs=within), f"pixels of the picture: {where}"
        assert bare.get(key, 0.0) >= engine - 0.08 * floor - LEAST_M2, f"frames and curtains hide too much: {where}"


@pytest.mark.parametrize(
    ("name", "level", "x", "y"),
    [("studio", 0, 2.5, 2.5), ("attic", 1, 3.0, 3.9)],
)
def test_a_picture_shows_the_floor_that_the_grade_counts(name: str, level: int, x: float, y: float) -> None:
    check(name, Station(level=level, x=x, y=y))


@pytest.mark.parametrize(("name", "chance"), [("mirror-flat", 3), ("two-storey-dogleg", 4), ("open-plan", 5)])
def test_so_it_does_from_anywhere(name: str, chance: int) -> None:
    check(name, random_station(place_of(name), np.random.default_rng(chance)))


@pytest.mark.proof
def test_pictures_from_fifty_random_stations_show_the_floor_that_the_grades_count() -> None:
    dice = np.random.default_rng(11)
    for k in range(50):
        name = FLOORS[k % len(FLOORS)]
        check(name, random_station(place_of(name), dice))
