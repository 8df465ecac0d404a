"""Doubling on rendered frames, with the soft seam of a merger: nothing is told that the frames do not bear out."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest
from shapely import Polygon
from shapely.ops import polylabel

from scoring.floor.plan import Station
from scoring.frame.blind.seams import Seams, find_seams
from scoring.frame.blind.sphere import CannotTell
from scoring.frame.shoot import shoot
from scoring.frame.stage import stage
from scoring.frame.take import Fault, Take
from tests.scoring.frame.even_rooms import even_stage
from tests.scoring.frame.spins import kit, plan, take, wrong

WIDTH_PX = 2048
FACINGS_DEG = (0.0, 130.0, -101.0, 67.0)
KITS = ("plover-four", "bittern-six", "heron-three")
FLOORS = ("long-corridor", "narrow-town-house", "open-plan", "split-level", "tiny-rooms", "two-bedroom-corner-hall",
          "two-storey-dogleg")  # fmt: skip
GROSS = (
    wrong("F1", offset_mm=40.0), wrong("F3", roll_deg=3.0), wrong("F5", shift_mm=60.0, yaw_deg=2.0),
    wrong("F7", slip_deg=3.0),
)  # fmt: skip


@pytest.mark.parametrize("fault", [None, *GROSS], ids=lambda fault: fault.code if fault else "clean")
def test_a_soft_seam_is_never_said_to_be_without_doubling(fault: Fault | None) -> None:
    given = take(*(() if fault is None else (fault,)))
    assert isinstance(find_seams(shoot(even_stage(given), given, WIDTH_PX).rgb, given.kit.headings), CannotTell)


@pytest.mark.proof
def test_clean_frames_of_many_floors_are_hardly_ever_called_doubled() -> None:
    found: Counter[str] = Counter()
    asked: Counter[str] = Counter()
    for number, floor in enumerate(FLOORS):
        chance = random.Random(floor)
        level, space = chance.choice([
            (level, space) for level, storey in enumerate(plan(floor).levels) for space in storey.spaces
            if not space.outdoor and Polygon(space.outline).area > 6.0
        ])  # fmt: skip
        spot = polylabel(Polygon(space.outline), 0.1)
        of: dict[str, Any] = {
            "plan": plan(floor), "kit": kit(KITS[number % 3]), "station": Station(level=level, x=spot.x, y=spot.y),
            "seed": chance.randrange(10**6),
        }  # fmt: skip
        set_up = stage(Take(**of))
        cases = [("clean", Take(**of, facing_deg=facing_deg)) for facing_deg in FACINGS_DEG]
        cases += [("faulty", Take(**of, faults=(fault,))) for fault in GROSS]
        for name, given in cases:
            rgb = shoot(set_up, given, WIDTH_PX).rgb
            for told, headings in (("N told", given.kit.headings), ("N not told", None)):
                asked[f"{name}, {told}"] += 1
                found[f"{name}, {told}"] += isinstance(find_seams(rgb, headings), Seams)
        print(floor, space.id, {key: f"{found[key]} of {asked[key]}" for key in asked}, flush=True)
    for told in ("N told", "N not told"):
        assert found[f"clean, {told}"] <= 0.05 * asked[f"clean, {told}"]
