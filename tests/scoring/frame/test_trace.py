"""First hits: the tree finds what testing every piece finds."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.finishes import PLAIN, Finish
from scoring.frame.scene import scene_of
from scoring.frame.solids import Pile, box_of
from scoring.frame.trace import blocked, first_hit, first_hits

GREY = Finish(PLAIN, (0.5, 0.5, 0.5))


def some_scene(count: int = 150):  # type: ignore[no-untyped-def]
    """Random triangles, parallelograms and a block."""
    dice = np.random.default_rng(8)
    pile = Pile()
    for k in range(count):
        a, b, c = (tuple(map(float, dice.uniform(-3.0, 3.0, 3))) for _ in range(3))
        if k % 2:
            pile.triangle(a, tuple(np.add(a, np.multiply(b, 0.3))), tuple(np.add(a, np.multiply(c, 0.3))), GREY)  # type: ignore[arg-type]
        else:
            pile.quad(a, tuple(np.multiply(b, 0.3)), tuple(np.multiply(c, 0.3)), GREY)  # type: ignore[arg-type]
    pile.prism(box_of(-0.2, -0.3, 0.4, 0.5), -1.0, 1.0, GREY)
    return scene_of(pile.faces, (0.0, 0.0, 0.0, 5.0))


def test_the_tree_finds_what_testing_every_piece_finds() -> None:
    scene = some_scene()
    dice = np.random.default_rng(2)
    rays = dice.normal(size=(500, 3))
    starts = dice.uniform(-4.0, 4.0, (500, 3))
    faces, far = first_hits(scene, starts, rays)
    n, d = scene.planes[:, 0:3], scene.planes[:, 3]
    for o, r, face, t in zip(starts, rays, faces, far, strict=True):
        with np.errstate(divide="ignore", invalid="ignore"):
            ts = (d - n @ o) / (n @ r)
        p = o + ts[:, None] * r
        a = (scene.planes[:, 4:7] * p).sum(axis=1) - scene.planes[:, 7]
        b = (scene.planes[:, 8:11] * p).sum(axis=1) - scene.planes[:, 11]
        hit = (ts > 0.0) & (a >= 0.0) & (a <= 1.0) & (b >= 0.0) & (b <= 1.0) & (a + b <= scene.planes[:, 12])
        if not hit.any():
            assert (face, t) == (-1, np.inf)
        else:
            best = int(np.flatnonzero(hit)[ts[hit].argmin()])
            assert t == pytest.approx(ts[best])
            assert face == scene.piece_face[best]


def test_a_ray_along_an_axis_is_no_special_case() -> None:
    pile = Pile()
    pile.prism(box_of(-1.0, -1.0, 1.0, 1.0), -1.0, 1.0, GREY)
    scene = scene_of(pile.faces, (0.0, 0.0, 0.0, 2.0))
    for axis in range(3):
        for sign in (-1.0, 1.0):
            ray = np.zeros((1, 3))
            ray[0, axis] = sign
            assert first_hits(scene, np.zeros(3), ray)[1][0] == pytest.approx(1.0)


def test_no_ray_slips_out_of_a_closed_block() -> None:
    pile = Pile()
    pile.prism(box_of(-1.0, -0.7, 1.3, 1.1), -1.0, 1.7, GREY)
    scene = scene_of(pile.faces, (0.0, 0.0, 0.0, 2.0))
    dice = np.random.default_rng(5)
    edges = np.array([(1.3, y, 1.7) for y in np.linspace(-0.7, 1.1, 400)])
    faces, _ = first_hits(scene, np.zeros(3), np.vstack([edges, dice.normal(size=(4000, 3))]))
    assert (faces >= 0).all()


def test_a_ray_that_leaves_a_face_does_not_meet_it_again() -> None:
    scene = some_scene(0)
    face, t = first_hit(scene, 0.1, 0.1, 1.0, 0.0, 0.0, 1.0, 1)
    assert (face, t) == (-1, np.inf)
    assert blocked(scene, 0.1, 0.1, 3.0, 0.0, 0.0, -1.0, 2.5, 1)
    assert not blocked(scene, 0.1, 0.1, 3.0, 0.0, 0.0, -1.0, 1.5, 1)


def test_rays_that_are_not_finite_are_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        first_hits(some_scene(3), np.zeros(3), np.array([[np.nan, 0.0, 1.0]]))
