"""What moves: where it stands, who sees it, how it is lit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from scoring.frame.bodies import Body
from scoring.frame.bodylight import directions_of, lit_bodies, with_bodies
from scoring.frame.figures import cat, person
from scoring.frame.movers import EXPOSURE_BIT, NEAREST_M, exposure_masks, movers_of
from scoring.frame.scene import ALL_SHOTS, build_scene, evenly_lit
from scoring.frame.spin import lens_point
from scoring.frame.stage import light_key, scene_key, stage_key
from scoring.frame.take import Fault
from tests.scoring.frame.even_rooms import even_stage, with_fault
from tests.scoring.frame.spins import plan, take, wrong


def azimuth_of(fault: Fault, body: Body) -> float:
    given = take(fault)
    lens, at = lens_point(given), body.corner.mean(axis=0)
    return (given.facing_deg - math.degrees(math.atan2(at[1] - lens[1], at[0] - lens[0]))) % 360.0


def test_two_copies_stand_on_either_side_of_their_seam() -> None:
    fault = wrong("F16", copies=2.0, seam=2.0)
    (before, first), (after, second) = movers_of(take(fault), lens_point(take(fault)))
    assert (first, second) == (1 << 1, 1 << 2)
    assert 0.0 < (135.0 - azimuth_of(fault, before)) < 45.0
    assert 0.0 < (azimuth_of(fault, after) - 135.0) < 45.0


def test_one_copy_is_cut_by_the_seam() -> None:
    fault = wrong("F16", copies=1.0, seam=1.0)
    ((body, shots),) = movers_of(take(fault), lens_point(take(fault)))
    assert shots == 1
    assert azimuth_of(fault, body) == pytest.approx(45.0, abs=3.0)


def test_walkers_stand_on_the_floor_and_not_in_the_lens() -> None:
    given = with_fault("F16", copies=3.0, away_m=6.0)
    lens = lens_point(given)
    for body, _ in movers_of(given, lens):
        assert body.corner[:, 2].min() == pytest.approx(0.0, abs=0.03)
        assert np.hypot(*(body.corner.mean(axis=0)[:2] - lens[:2])) >= NEAREST_M - 0.1


def test_exposures_see_a_thing_at_one_place_each() -> None:
    given = with_fault("F17", what="fan", copies=3.0)
    masks = exposure_masks(given, 2)
    assert masks == tuple(1 << 2 | 1 << (EXPOSURE_BIT + j) for j in range(3))
    assert exposure_masks(take(), 2) == (1 << 2,)
    shots = [shots for _, shots in movers_of(given, lens_point(given))]
    assert shots[0] == ALL_SHOTS
    assert [sum(bool(mask & s) for s in shots[1:]) for mask in masks] == [1, 1, 1]


def test_the_operator_stands_behind_the_camera_in_every_heading() -> None:
    fault = wrong("F19", kind="self")
    found = movers_of(take(fault), lens_point(take(fault)))
    assert [shots for _, shots in found] == [1, 2, 4, 8]
    for k, (body, _) in enumerate(found):
        off = (azimuth_of(fault, body) - 90.0 * k - 180.0 + 180.0) % 360.0 - 180.0
        assert abs(off) < 8.0


def test_a_person_is_as_tall_as_asked_and_all_faces_look_outward() -> None:
    faces = person(tall_m=1.8)
    corners = np.array([face.corner for face in faces])
    assert 1.75 < corners[:, 2].max() < 1.85
    pet = np.array([face.corner for face in cat()])
    assert 0.3 < pet[:, 2].max() < 0.5


def test_who_walks_through_changes_the_stage_but_not_its_light() -> None:
    clean, walked = take(), with_fault("F16")
    assert stage_key(clean) != stage_key(walked)
    assert light_key(clean) == light_key(walked)
    assert light_key(clean) != light_key(with_fault("F18"))
    assert stage_key(clean) == stage_key(with_fault("F1"))


def test_what_stays_in_place_is_the_same_at_every_hour_and_another_with_another_seed() -> None:
    clean = take()
    for same in (with_fault("F18"), with_fault("F16"), replace(clean, when_iso="2025-06-01T18:00", lamps=False)):
        assert scene_key(same) == scene_key(clean)
    assert scene_key(replace(clean, seed=clean.seed + 1)) != scene_key(clean)


def test_bodies_in_even_light_are_lit_evenly() -> None:
    given = with_fault("F16")
    stage = even_stage(given)
    still = build_scene(plan("one-bedroom"), 0, seed=1)
    moving = np.arange(len(still.corner), len(stage.scene.corner))
    lit = with_bodies(stage.scene, evenly_lit(still, 70.0))
    assert len(lit.start) == len(stage.scene.corner)
    even = lit_bodies(stage.scene, lit, [moving], [np.full((16, 32, 3), 70.0)])
    nodes = np.concatenate([np.arange(even.start[f], even.start[f] + 4) for f in moving])
    assert np.allclose(even.glow[nodes], 70.0, rtol=0.02)
    assert np.array_equal(even.glow[: lit.start[moving[0]]], lit.glow[: lit.start[moving[0]]])


def test_directions_fill_the_sphere() -> None:
    toward, square = directions_of(16)
    assert square.sum() == pytest.approx(4.0 * math.pi, rel=1e-9)
    assert np.allclose(np.linalg.norm(toward, axis=1), 1.0)
