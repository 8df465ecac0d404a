"""What comes along a ray: light times reflectance, mirrors mirrored, panes crossed, leaves slipped through."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scoring.frame.finishes import GLASS, LACE, LAMP, LEAVES, MIRROR, PLAIN, Finish
from scoring.frame.scene import Lit, Scene, evenly_lit, scene_of
from scoring.frame.shade import radiance_along, sky_along
from scoring.frame.solids import Pile

RED = Finish(PLAIN, (0.6, 0.2, 0.1))
SILVER = Finish(PLAIN, (0.9, 0.8, 0.7), optic=MIRROR)
PANE = Finish(PLAIN, (0.9, 0.8, 0.7), optic=GLASS)


def screen(pile: Pile, y: float, finish: Finish, half: float = 2.0) -> None:
    """An upright square across the y axis that faces the south."""
    pile.quad((-half, y, -half), (2.0 * half, 0.0, 0.0), (0.0, 0.0, 2.0 * half), finish)


def north(scene: Scene, lit: Lit, y: float = 0.0, x: float = 0.1, z: float = 0.1) -> tuple[float, ...]:
    """What comes from the north to (x, y, z)."""
    return radiance_along(scene, lit, x, y, z, 0.0, 1.0, 0.0, 0.001, 1)


def made(pile: Pile) -> tuple[Scene, Lit]:
    """A scene of what is piled, in an even light of 100 cd/m2."""
    scene = scene_of(pile.faces, (0.0, 0.0, 0.0, 1.0))
    return scene, evenly_lit(scene, 100.0)


def test_a_surface_sends_its_light_times_its_reflectance() -> None:
    pile = Pile()
    screen(pile, 3.0, RED)
    assert north(*made(pile)) == pytest.approx((60.0, 20.0, 10.0, 3.0, 0))


def test_a_mirror_shows_what_is_behind_the_viewer_as_far_off_as_its_image() -> None:
    pile = Pile()
    screen(pile, 2.0, SILVER)
    pile.quad((2.0, -3.0, -2.0), (-4.0, 0.0, 0.0), (0.0, 0.0, 4.0), RED)
    r, g, b, way, face = north(*made(pile))
    assert (r, g, b) == pytest.approx((54.0, 16.0, 7.0))
    assert way == pytest.approx(7.0)
    assert face == 1


def test_two_mirrors_face_to_face_come_to_an_end() -> None:
    pile = Pile()
    screen(pile, 1.0, SILVER)
    screen(pile, -1.0, SILVER)
    r, *_, face = north(*made(pile))
    assert r == 0.0
    assert face >= 0


def test_each_pane_dims_what_is_behind_it() -> None:
    pile = Pile()
    for y in (1.0, 1.5):
        screen(pile, y, PANE)
    screen(pile, 3.0, RED)
    assert north(*made(pile)) == pytest.approx((60.0 * 0.81, 20.0 * 0.64, 10.0 * 0.49, 3.0, 2))


def test_a_lamp_adds_its_own_light() -> None:
    pile = Pile()
    screen(pile, 2.0, Finish(PLAIN, (0.5, 0.5, 0.5), optic=LAMP))
    assert north(*made(pile))[:3] == pytest.approx((150.0, 150.0, 150.0))


def test_light_is_bilinear_between_the_nodes_of_a_face() -> None:
    pile = Pile()
    screen(pile, 2.0, Finish(PLAIN, (1.0, 1.0, 1.0)))
    scene, lit = made(pile)
    glow = np.repeat(np.array([[0.0], [40.0], [80.0], [0.0]], np.float32), 3, axis=1)
    two = np.array([2], np.int32)
    lit = lit._replace(glow=glow, across=two, along=two)
    assert north(scene, lit, x=0.0, z=0.0)[0] == pytest.approx(30.0, rel=1e-5)
    assert north(scene, lit, x=1.9999, z=-1.9999)[0] == pytest.approx(40.0, rel=1e-3)
    assert north(scene, lit, x=-1.9999, z=1.9999)[0] == pytest.approx(80.0, rel=1e-3)


def test_the_sun_adds_by_its_cosine_and_by_the_share_of_it_that_is_seen() -> None:
    pile = Pile()
    screen(pile, 2.0, Finish(PLAIN, (1.0, 1.0, 1.0)))
    scene, lit = made(pile)
    toward = np.array([0.0, -math.cos(1.0), math.sin(1.0)])
    lit = lit._replace(sun=np.full(3, 1000.0, np.float32), toward_sun=toward, sun_start=np.zeros(1, np.int64),
                       sun_share=np.array([0.25], np.float32))  # fmt: skip
    assert north(scene, lit)[0] == pytest.approx(100.0 + 250.0 * math.cos(1.0), rel=1e-5)
    away = lit._replace(toward_sun=-toward)
    assert north(scene, away)[0] == pytest.approx(100.0)


def test_leaves_let_some_rays_through_near_by_and_none_from_far_off() -> None:
    pile = Pile()
    screen(pile, 2.0, Finish(LEAVES, (0.1, 0.2, 0.05), scale_m=(0.06, 0.06), strength=0.5, optic=LACE))
    screen(pile, 3.0, RED)
    scene, lit = made(pile)
    spots = np.random.default_rng(2).uniform(-1.5, 1.5, (400, 2))
    faces = [north(scene, lit, x=float(x), z=float(z))[4] for x, z in spots]
    assert 0.1 < np.mean(faces) < 0.7
    far = [radiance_along(scene, lit, float(x), -900.0, float(z), 0.0, 1.0, 0.0, 0.002, 1)[4] for x, z in spots]
    assert not any(far)


def test_nothing_hit_is_sky_and_the_sky_goes_round_without_a_seam() -> None:
    pile = Pile()
    screen(pile, 2.0, RED)
    scene, lit = made(pile)
    dice = np.random.default_rng(3)
    lit = lit._replace(sky=dice.uniform(10.0, 90.0, (5, 12, 3)).astype(np.float32), cloud=0.0)
    *_, way, face = radiance_along(scene, lit, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.001, 1)
    assert (way, face) == (np.inf, -1)
    assert sky_along(scene, lit, 0.0, 0.0, 1.0)[0] == pytest.approx(float(lit.sky[4, 0, 0]), rel=1e-5)
    near = [sky_along(scene, lit, 0.8, s * 1e-9, 0.6) for s in (1.0, -1.0)]
    assert near[0] == pytest.approx(near[1], rel=1e-6)
