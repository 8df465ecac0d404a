"""A survey of twelve stations on shipped floors, engine only, with the place prepared."""

from __future__ import annotations

import statistics
import time
from pathlib import Path

from scoring.floor.footing import free_circle
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Station
from scoring.floor.read import read_kit, read_plan, read_standard
from scoring.floor.survey import survey

SCENARIOS = Path(__file__).parents[1] / "scenarios"
FLOORS = ("two-storey-dogleg", "two-bedroom-corner-hall", "great-house")
STATIONS = 12


def rows() -> list[tuple[str, str, str]]:
    """One row per floor: stations in the middle of its twelve roomiest spaces, then all of them a step aside."""
    kit = read_kit(sorted((SCENARIOS / "kits").glob("*.json"))[0].read_bytes())
    standard = read_standard((SCENARIOS / "standards" / "house.json").read_bytes())
    found = []
    for name in FLOORS:
        place = prepare(read_plan((SCENARIOS / "floors" / f"{name}.json").read_bytes()), kit, standard)
        stations = _middles(place)
        survey(place, stations, {})
        times = []
        for i in range(30):
            aside = [Station(level=s.level, x=s.x + 0.02 * (i % 5), y=s.y + 0.01 * (i % 7)) for s in stations]
            start = time.perf_counter()
            survey(place, aside, {})
            times.append(time.perf_counter() - start)
        what = f"survey of {len(stations)} stations, {name}"
        found.append((what, f"{statistics.median(times) * 1e3:.1f} ms", "must 60 ms, reach 15 ms"))
    return found


def _middles(place: Place) -> list[Station]:
    circles = []
    for level, storey in enumerate(place.storeys):
        for room in storey.rooms:
            radius, (x, y) = free_circle(place, level, room.space.id)
            circles.append((radius, level, x, y))
    circles.sort(reverse=True)
    rounds = [Station(level=level, x=x, y=y) for _, level, x, y in circles[:STATIONS]]
    extra = [Station(level=s.level, x=s.x + 0.5, y=s.y) for s in rounds[: STATIONS - len(rounds)]]
    return rounds + extra


__all__ = ["rows"]
