"""Where frames are taken: seams on something near and something far, seen again by rays that Shapely cuts."""

from __future__ import annotations

import math
from random import Random

import pytest
from shapely import LineString, Point, STRtree

from scoring.floor.bands import band
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Station
from scoring.floor.stands import stand
from scoring.kinds.viewpoints import CLEAR_M, SPARE_M, viewpoints
from tests.scoring.kinds.shipped import parts, standard

RAY_M = 60.0


def place_of(name: str) -> Place:
    _, plan, kit = parts(name)
    return prepare(plan, kit, standard())


def rays(place: Place, station: Station, facing_deg: float) -> list[LineString]:
    """One from the lens toward the middle of each seam."""
    step = 360.0 / place.kit.headings
    angles = [math.radians(facing_deg + step * (seam + 0.5)) for seam in range(place.kit.headings)]
    return [
        LineString([(station.x, station.y), (station.x + RAY_M * math.cos(a), station.y + RAY_M * math.sin(a))])
        for a in angles
    ]


def nearest(lens: Point, ray: LineString, segments: list[LineString], down_m: list[float]) -> float:
    """How far the first of the segments is along a ray [m]."""
    return min(
        (
            math.hypot(lens.distance(ray.intersection(segments[index])), down_m[index])
            for index in STRtree(segments).query(ray, predicate="intersects")
        ),
        default=math.inf,
    )


@pytest.mark.parametrize("name", ["verdict-one-bedroom", "cue-open-plan"])
def test_enough_seams_fall_on_something_near_and_on_something_far(name: str) -> None:
    place = place_of(name)
    looking, lens_m = place.standard.looking, place.kit.lens_height_m
    found = viewpoints(place, Random(3), most=2)
    assert found
    for station, facing_deg in found:
        assert stand(place, station).allowed
        assert stand(place, station).clearance_m >= CLEAR_M
        lens = Point(station.x, station.y)
        (room,) = [room for room in place.storeys[station.level].rooms if room.polygon.contains(lens)]
        things = [
            thing
            for thing in place.plan.levels[station.level].things
            if thing.space == room.space.id and thing.base_m < lens_m
        ]
        edges = [LineString([thing.outline[i - 1], point]) for thing in things for i, point in enumerate(thing.outline)]
        down_m = [max(0.0, lens_m - thing.height_m) for thing in things for _ in thing.outline]
        close = [nearest(lens, ray, edges, down_m) for ray in rays(place, station, facing_deg)]
        assert sum(m < looking.near_m - SPARE_M + 1e-9 for m in close) >= looking.seams_count
        air = band(place, station.level, room.floor + lens_m, walk=False).region
        open_m = [lens.distance(ray.intersection(air.boundary)) for ray in rays(place, station, facing_deg)]
        assert sum(m > looking.far_m + SPARE_M - 1e-9 for m in open_m) >= looking.seams_count
