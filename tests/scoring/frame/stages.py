"""A studio flat ready for spins, once for all tests of a run, and what is measured in it."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from scoring.drill import canonical_json
from scoring.frame.hours import hour_of
from scoring.frame.illuminate import illuminate
from scoring.frame.measure import Measured, measure
from scoring.frame.movers import movers_of
from scoring.frame.paths import Paths, find_paths
from scoring.frame.scene import Scene, build_scene, evenly_lit, with_movers
from scoring.frame.spin import lens_point
from scoring.frame.stage import Stage, stage_key, staged
from scoring.frame.take import Fault, Take, read_take, take_json
from scoring.light.sky import sky_of
from tests.scoring.frame.spins import plan, take

WIDTH_PX = 1024
LIT = "studio"
"""The floor whose light is solved; others are lit evenly, which is made at once."""

_stages: dict[str, Stage] = {}


def studio(*faults: Fault, **more: Any) -> Take:
    """In the main room, with things near and far about every seam."""
    return take(*faults, **{"floor": LIT, "x": 4.2, "y": 2.2, **more})


@cache
def _scene(floor: str, seed: int) -> Scene:
    return build_scene(plan(floor), 0, seed=seed)


@cache
def _paths(seed: int) -> Paths:
    return find_paths(_scene(LIT, seed))


def stage_of(given: Take) -> Stage:
    """The stage of a take."""
    key = stage_key(given)
    if key not in _stages:
        point = lens_point(given)
        movers = movers_of(given, point)
        seed = given.seed % 2**31
        sky = sky_of(given.sky, hour_of(given), given.plan.north_deg)
        still = _scene(given.plan.name, seed)
        lamps = given.lamps
        lit = illuminate(still, sky, lamps=lamps, paths=_paths(seed)) if given.plan.name == LIT else evenly_lit(still)
        _stages[key] = staged(given, point, with_movers(still, movers), lit, sky)
    return _stages[key]


def measured(given: Take) -> Measured:
    """What is measured on a take, once a run."""
    return _measured(canonical_json(take_json(given)))


@cache
def _measured(text: str) -> Measured:
    given = read_take(json.loads(text))
    return measure(stage_of(given), given, width_px=WIDTH_PX)
