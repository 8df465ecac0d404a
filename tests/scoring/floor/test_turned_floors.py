from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from scoring.floor.place import Place, prepare
from scoring.floor.plan import Station
from scoring.floor.read import read_plan
from scoring.floor.survey import survey
from scoring.floor.turn import moved
from tests.scoring.floor.small_plans import kit, standard

FLOORS = sorted((Path(__file__).parents[3] / "scenarios" / "floors").glob("*.json"))


def somewhere(where: Place, rng: random.Random, count: int) -> list[Station]:
    """Random stations in the boxes of random spaces, in walls now and then."""
    found = []
    for _ in range(count):
        level = rng.randrange(len(where.storeys))
        x0, y0, x1, y1 = rng.choice(where.storeys[level].rooms).polygon.bounds
        found.append(Station(level=level, x=rng.uniform(x0, x1), y=rng.uniform(y0, y1)))
    return found


@pytest.mark.parametrize("path", FLOORS, ids=lambda path: path.stem)
def test_a_shipped_floor_turned_and_mirrored_gives_the_same_survey(path: Path) -> None:
    rng = random.Random(path.stem)
    drawn = read_plan(path.read_bytes())
    turn = rng.uniform(-180.0, 180.0)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def move(point: tuple[float, float]) -> tuple[float, float]:
        x, y = -point[0], point[1]
        return (c * x - s * y, s * x + c * y)

    def swing(angle_deg: float) -> float:
        return 180.0 - angle_deg + turn

    here = prepare(drawn, kit(), standard())
    there = prepare(moved(drawn, move, swing), kit(), standard())
    for _ in range(2):
        stations = somewhere(here, rng, 8)
        before = survey(here, stations, {})
        turned = [Station(level=one.level, x=x, y=y) for one in stations for x, y in [move((one.x, one.y))]]
        after = survey(there, turned, {})
        for a, b in zip(before.covers, after.covers, strict=True):
            assert b.seen_m2 == pytest.approx(a.seen_m2, abs=1e-5)
            assert b.twice_m2 == pytest.approx(a.twice_m2, abs=1e-5)
        assert [link.holds for link in before.links] == [link.holds for link in after.links]
        assert [link.clear_m for link in after.links] == pytest.approx(
            [link.clear_m for link in before.links], abs=1e-6
        )
        assert [one.allowed for one in before.stands] == [one.allowed for one in after.stands]
        assert before.islands == after.islands
        assert before.spare == after.spare
