"""What is told of a frame's level and its sectors, found again in the frame's own pixels.

Nothing here asks where a heading was. The horizon is the rim between a bright sky and dark ground that reaches as far
as the eye; sectors are found by asking, of every column, which column of a clean frame it looks like.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from scoring.frame.finishes import PLAIN, Finish
from scoring.frame.measure import measure
from scoring.frame.measure_level import Sectors, sectors_of
from scoring.frame.pose import turn_right
from scoring.frame.scene import Scene, scene_of
from scoring.frame.shoot import shoot
from scoring.frame.solids import Pile
from scoring.frame.spin import FEATHER_DEG, lens_point, spin_of
from scoring.frame.stage import Stage, staged
from scoring.frame.take import Fault, Take
from tests.scoring.frame.even_rooms import even_light, even_sky
from tests.scoring.frame.spins import take, wrong
from tests.scoring.frame.stages import stage_of, studio

WIDTH = 4096
BAND = 512
"""Rows about eye level that hold the horizon [px]."""
FAR_M = 2e4
BESIDE_DEG = 20.0
"""A horizon is followed so far from a seam, and not where two headings are mixed."""
TILT_WITHIN_DEG = 0.02
STEP_WITHIN_DEG = 0.02
SECTOR_WITHIN_DEG = 1.0
"""Sectors are told in steps of half a degree."""


@cache
def plain() -> Scene:
    """Dark ground as far as the eye reaches, and nothing on it."""
    pile = Pile()
    side = 2.0 * FAR_M
    pile.quad((-FAR_M, -FAR_M, 0.0), (side, 0.0, 0.0), (0.0, side, 0.0), Finish(PLAIN, (0.1, 0.1, 0.1)))
    return scene_of(pile.faces, (0.0, 0.0, 0.0, 5.0))


def outdoors(given: Take) -> Stage:
    return staged(given, lens_point(given), plain(), even_light(plain())._replace(cloud=0.0), even_sky())


def horizon(given: Take) -> Any:
    """Tangent of the elevation of the rim between sky and ground in each column of the frame."""
    top = (WIDTH // 2 - BAND) // 2
    light = shoot(outdoors(given), given, WIDTH, (0, top, WIDTH, BAND)).linear_cd_m2.mean(axis=2)
    sky, ground = light[:8].mean(axis=0), light[-8:].mean(axis=0)
    rows = ((light - ground) / (sky - ground)).clip(0.0, 1.0).sum(axis=0)
    return np.tan(np.radians(90.0 - (top + rows) * 360.0 / WIDTH))


def wave(tangents: Any, off_deg: Any) -> tuple[float, float]:
    """The great circle through a horizon, tan el = a cos off + b sin off: (a, b)."""
    off = np.radians(off_deg)
    (ahead, aside), *_ = np.linalg.lstsq(np.stack([np.cos(off), np.sin(off)], axis=1), tangents, rcond=None)
    return float(ahead), float(aside)


CASES: tuple[tuple[str, tuple[Fault, ...]], ...] = (
    ("plover-four", ()),
    ("plover-four", (wrong("F4", tilt_deg=0.5, toward_deg=200.0),)),
    ("bittern-six", (wrong("F4", tilt_deg=5.0, toward_deg=30.0),)),
    ("plover-four", (wrong("F3", roll_deg=1.0),)),
    ("bittern-six", (wrong("F3", roll_deg=-3.0, lean_deg=4.0),)),
    ("plover-four", (wrong("F6", rocking_deg=2.0),)),
    ("heron-three", (wrong("F6", rocking_deg=1.0),)),
    ("plover-four", (wrong("F5", shift_mm=60.0, yaw_deg=2.0),)),
    ("plover-four", (wrong("F9", offset_mm=2.0, toward_deg=90.0),)),
    ("plover-four", (wrong("F4", tilt_deg=3.0), wrong("F3", roll_deg=2.0))),
)
"""Alone and together: tilts, rolls, leans, rocking, and faults that leave the horizon as it is."""


@pytest.mark.parametrize(
    ("kit_name", "faults"), CASES, ids=lambda one: one if isinstance(one, str) else "-".join(f.code for f in one)
)
def test_the_tilt_and_the_steps_that_are_told_are_those_of_the_horizon_in_the_frame(
    kit_name: str, faults: tuple[Fault, ...]
) -> None:
    given = take(*faults, with_kit=kit_name)
    tangents = horizon(given)
    told = measure(outdoors(given), given, width_px=512)
    azimuths = (np.arange(WIDTH) + 0.5) / WIDTH * 360.0 - 180.0
    ahead, aside = wave(tangents, azimuths)
    tilt_deg = math.degrees(math.atan(math.hypot(ahead, aside)))
    assert tilt_deg == pytest.approx(told.level.tilt_deg, abs=TILT_WITHIN_DEG)
    if tilt_deg > 0.3:
        off = math.degrees(math.atan2(aside, ahead)) - told.level.toward_deg
        assert abs((off + 180.0) % 360.0 - 180.0) < 1.0
    for seam in told.seams:
        beside = (azimuths - seam.azimuth_deg + 180.0) % 360.0 - 180.0
        ends = []
        for side in (-1.0, 1.0):
            near = (side * beside > FEATHER_DEG + 0.2) & (side * beside < BESIDE_DEG)
            ends.append(math.degrees(math.atan(wave(tangents[near], beside[near])[0])))
        assert ends[1] - ends[0] == pytest.approx(seam.horizon_step_deg, abs=STEP_WITHIN_DEG), seam.number


ROUND = 1152
"""Width of frames whose columns are compared [px]: 60, 90 and 120 degrees are whole columns."""
ALIKE = 2.5
"""Levels by which a column differs at most from the one that it is."""
STRETCH = 16
"""Columns that go on alike before they count as a part of the frame."""
BLACK = -1


def columns_of(given: Take) -> Any:
    """Every column of a frame as one row of grey levels, from 45 degrees up to 45 down."""
    rgb = shoot(stage_of(given), given, ROUND).rgb[ROUND // 8 : ROUND * 3 // 8]
    return rgb.transpose(1, 0, 2).reshape(ROUND, -1).astype(np.float64)


def parts(given: Take) -> list[tuple[float, float, int]]:
    """A frame as parts, from the left: first column, last column, and how far on in a clean frame the same columns lie,
    or BLACK. Two parts end where each has half a share in what shows between them."""
    shown, clean = columns_of(given), columns_of(replace(given, faults=()))
    off2 = (shown**2).sum(axis=1)[:, None] + (clean**2).sum(axis=1) - 2.0 * shown @ clean.T
    moved = (off2.argmin(axis=1) - np.arange(ROUND)) % ROUND
    moved[shown.max(axis=1) <= 4.0] = BLACK
    like = (moved == BLACK) | (off2.min(axis=1) < ALIKE**2 * shown.shape[1])
    cuts = np.flatnonzero(np.diff(moved, prepend=-9, append=-9) | np.diff(like, prepend=False, append=False))
    found: list[list[int]] = []
    for first, after in pairwise(cuts.tolist()):
        if like[first] and after - first >= STRETCH:
            if found and found[-1][2] == moved[first]:
                found[-1][1] = after
            else:
                found.append([first, after, int(moved[first])])
    ends = [0.0]
    for (_, before, one), (after, _, other) in pairwise(found):
        at = np.arange(before - 1, after + 1)
        left, right = (np.zeros_like(shown[at]) if k == BLACK else clean[(at + k) % ROUND] for k in (one, other))
        share = ((shown[at] - right) * (left - right)).sum(axis=1) / ((left - right) ** 2).sum(axis=1)
        ends.append(float(np.interp(-0.5, -share, at + 0.5)))
    return [(a, b, k) for (a, b), (_, _, k) in zip(pairwise([*ends, float(ROUND)]), found, strict=True)]


def sectors_told(given: Take) -> Sectors:
    spin = spin_of(given)
    return sectors_of(spin.headings, spin.half_deg, turn_right(-spin.facing_deg))


def widest_deg(there: Any) -> float:
    """Length of the longest run round a circle of tenths of a degree."""
    if there.all():
        return 360.0
    run = best = 0
    for now in np.roll(there, -int(np.argmin(there))):
        run = run + 1 if now else 0
        best = max(best, run)
    return best / 10.0


@pytest.mark.parametrize(
    ("missing", "fill"),
    [(1, "black"), (2, "black"), (1, "repeated"), (2, "repeated"), (1, "squeezed"), (2, "squeezed")],
)
def test_the_sectors_that_are_told_are_those_that_the_frame_lacks_and_repeats(missing: int, fill: str) -> None:
    given = studio(wrong("F8", missing=missing, fill=fill))
    told = sectors_told(given)
    times = np.zeros(3600, int)
    for first, last, moved in parts(given):
        if moved != BLACK:
            world = np.arange(round((first + moved) * 3600 / ROUND), round((last + moved) * 3600 / ROUND))
            np.add.at(times, world % 3600, 1)
    assert widest_deg(times == 0) == pytest.approx(told.missing_deg, abs=SECTOR_WITHIN_DEG)
    assert widest_deg(times > 1) == pytest.approx(told.repeated_deg, abs=SECTOR_WITHIN_DEG)
    if fill != "squeezed":
        instead = np.exp(1j * np.concatenate([
            np.linspace(first, last, 100 * round(last - first)) / ROUND * 2.0 * np.pi
            for first, last, moved in parts(given) if moved != 0
        ]))  # fmt: skip
        off = math.degrees(float(np.angle(-instead.mean()))) - told.missing_at_deg
        assert abs((off + 180.0) % 360.0 - 180.0) < SECTOR_WITHIN_DEG
