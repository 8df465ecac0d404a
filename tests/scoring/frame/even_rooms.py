"""Stages for tests of capture: shipped floors in the same light everywhere, with a bright sky outside."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from scoring.frame.movers import movers_of
from scoring.frame.scene import Lit, Scene, build_scene, evenly_lit, with_movers
from scoring.frame.spin import lens_point
from scoring.frame.stage import Stage, stage_key, staged
from scoring.frame.take import Take
from scoring.light.sky import Sky
from scoring.light.sun import Sun
from tests.scoring.frame.spins import take, wrong

ROOM_CD_M2, SKY_CD_M2 = 150.0, 3000.0
_KEPT: dict[str, Stage] = {}


def even_stage(given: Take) -> Stage:
    """The stage of a take whose every surface is lit alike; made once for each key."""
    key = stage_key(given)
    if key not in _KEPT:
        point = lens_point(given)
        still = build_scene(given.plan, given.station.level, seed=1)
        scene = with_movers(still, movers_of(given, point))
        _KEPT[key] = staged(given, point, scene, even_light(scene), even_sky())
    return _KEPT[key]


def even_light(scene: Scene) -> Lit:
    light = evenly_lit(scene, ROOM_CD_M2)
    return light._replace(sky=np.full((2, 4, 3), SKY_CD_M2, np.float32))


def even_sky() -> Sky:
    table = np.full((3, 4, 3), SKY_CD_M2, np.float32)
    return Sky("overcast", Sun(0.0, 40.0), (0.0, 0.0, 1.0), np.zeros(3), table, 0.0, SKY_CD_M2 * np.pi)


@cache
def clean_stage() -> Stage:
    """A living room, with nothing wrong."""
    return even_stage(take())


def with_fault(code: Any, **values: float | str) -> Take:
    """The living room's take with one fault."""
    return take(wrong(code, **values))
