"""Luminance of a furnished room against Mitsuba 3's path tracer: six square views from its middle.

Both get the same walls, window, table and cupboard, an even sky and a lamp; nothing of ours is read by the other side.
"""

from __future__ import annotations

import mitsuba as mi
import numpy as np
import pytest

from scoring.frame.finishes import PLAIN, Finish
from scoring.frame.illuminate import illuminate, lamp_radiance
from scoring.frame.shade import radiance_along
from scoring.frame.solids import THING, Pile, box_of
from scoring.light.colour import luminance_of
from tests.scoring.frame.lit_rooms import built, even_sky, grey, inside_of, lamp_at

mi.set_variant("scalar_rgb")

WIDE, DEEP, HIGH = 4.0, 5.0, 2.6
WINDOW = (0.8, 3.2, 0.9, 2.1)
FLOOR_SHARE, WALL_SHARE, CEILING_SHARE = 0.35, 0.6, 0.8
RED = (0.6, 0.2, 0.15)
TABLE = (1.2, 2.6, 2.4, 3.4, 0.68, 0.74)
CUPBOARD = (3.4, 3.0, 4.0, 4.6, 0.0, 1.8)
SKY_CD_M2 = 900.0
LENS = (1.9, 1.7, 1.5)
VIEWS = [((1, 0, 0), (0, 0, 1)), ((-1, 0, 0), (0, 0, 1)), ((0, 1, 0), (0, 0, 1)),
         ((0, -1, 0), (0, 0, 1)), ((0, 0, 1), (0, 1, 0)), ((0, 0, -1), (0, 1, 0))]  # fmt: skip
Vec = tuple[float, float, float]


def patch(corner: Vec, run: Vec, rise: Vec, share: tuple[float, float, float], glow: Vec | None = None) -> dict:
    """A parallelogram of Mitsuba's."""
    c, u, v = (np.array(part, dtype=float) for part in (corner, run, rise))
    n = np.cross(u, v)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = u / 2, v / 2, n / np.linalg.norm(n), c + (u + v) / 2
    one = {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f(matrix),
        "bsdf": {"type": "twosided", "in": {"type": "diffuse", "reflectance": {"type": "rgb", "value": list(share)}}},
    }
    if glow is not None:
        one["emitter"] = {"type": "area", "radiance": {"type": "rgb", "value": list(glow)}}
    return one


def block(x0: float, y0: float, x1: float, y1: float, z0: float, z1: float, share: Vec) -> list[dict]:
    """The six sides of a box."""
    dx, dy, dz = (x1 - x0, 0.0, 0.0), (0.0, y1 - y0, 0.0), (0.0, 0.0, z1 - z0)
    return [patch((x0, y0, z0), dy, dx, share), patch((x0, y0, z1), dx, dy, share),
            patch((x0, y0, z0), dx, dz, share), patch((x0, y1, z0), dz, dx, share),
            patch((x0, y0, z0), dz, dy, share), patch((x1, y0, z0), dy, dz, share)]  # fmt: skip


def theirs(glow: Vec) -> mi.Scene:
    """The room as Mitsuba's scene."""
    floor, wall, ceiling = ((s, s, s) for s in (FLOOR_SHARE, WALL_SHARE, CEILING_SHARE))
    west, east, sill, head = WINDOW
    up = (0.0, 0.0, HIGH)
    shapes = [
        patch((0, 0, 0), (WIDE, 0, 0), (0, DEEP, 0), floor),
        patch((0, 0, HIGH), (0, DEEP, 0), (WIDE, 0, 0), ceiling),
        patch((0, DEEP, 0), (WIDE, 0, 0), up, wall),
        patch((0, 0, 0), (0, DEEP, 0), up, RED),
        patch((WIDE, DEEP, 0), (0, -DEEP, 0), up, wall),
        patch((west, 0, 0), (-west, 0, 0), up, wall),
        patch((WIDE, 0, 0), (east - WIDE, 0, 0), up, wall),
        patch((east, 0, 0), (west - east, 0, 0), (0, 0, sill), wall),
        patch((east, 0, head), (west - east, 0, 0), (0, 0, HIGH - head), wall),
        patch((1.85, 2.35, 2.59), (0, 0.3, 0), (0.3, 0, 0), (0, 0, 0), glow),
        *block(*TABLE, (0.4, 0.4, 0.4)),
        *block(*CUPBOARD, (0.5, 0.5, 0.5)),
    ]
    scene = {f"s{i}": shape for i, shape in enumerate(shapes)}
    return mi.load_dict(
        {
            "type": "scene",
            "integrator": {"type": "path", "max_depth": 40, "rr_depth": 20},
            "sky": {"type": "constant", "radiance": {"type": "rgb", "value": SKY_CD_M2}},
            **scene,
        }
    )


def compare(views: list, size: int, samples: int) -> np.ndarray:
    """Ratios of our luminance to Mitsuba's over blocks of 4 x 4 pixels of some views."""
    pile = Pile()
    inside_of(pile, WIDE, DEEP, HIGH, grey(FLOOR_SHARE), grey(WALL_SHARE), grey(CEILING_SHARE), WINDOW)
    pile.faces[3] = pile.faces[3]._replace(finish=Finish(PLAIN, RED))
    lamp_at(pile, 2.0, 2.5, 2.59, side=0.3)
    pile.owner, pile.part = 1, THING
    pile.prism(box_of(*TABLE[:4]), *TABLE[4:], grey(0.4))
    pile.prism(box_of(*CUPBOARD[:4]), *CUPBOARD[4:], grey(0.5))
    scene = built(pile)
    lit = illuminate(scene, even_sky(SKY_CD_M2), lamps=True)
    glow = lamp_radiance(scene).max(axis=0)
    other = theirs(tuple(float(part) for part in glow))
    ratios = []
    for forward, up in views:
        target = [a + b for a, b in zip(LENS, forward, strict=True)]
        sensor = mi.load_dict(
            {
                "type": "perspective",
                "fov": 90.0,
                "to_world": mi.ScalarTransform4f().look_at(origin=list(LENS), target=target, up=list(up)),
                "film": {"type": "hdrfilm", "width": size, "height": size, "rfilter": {"type": "box"}},
                "sampler": {"type": "multijitter", "sample_count": samples},
            }
        )
        seen = luminance_of(np.array(mi.render(other, sensor=sensor)))
        ours = np.zeros((size, size))
        for j in range(size):
            for i in range(size):
                for a, b in ((0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)):
                    ray, _ = sensor.sample_ray(0.0, 0.5, [(i + a) / size, (j + b) / size], [0.5, 0.5])
                    rgb = radiance_along(scene, lit, *LENS, *(float(d) for d in ray.d), 1e-3, 1)[:3]
                    ours[j, i] += float(luminance_of(np.array(rgb))) / 4.0
        blocks = [part.reshape(size // 4, 4, size // 4, 4).mean(axis=(1, 3)).ravel() for part in (ours, seen)]
        ratios.append(blocks[0] / blocks[1])
    return np.concatenate(ratios)


def judge(ratios: np.ndarray) -> None:
    off = np.abs(ratios - 1.0)
    print(f"{len(ratios)} blocks off by {np.median(off):.1%} at the median, {np.quantile(off, 0.9):.1%} at nine tenths")
    assert np.median(off) < 0.05
    assert abs(np.median(ratios) - 1.0) < 0.03
    assert np.quantile(off, 0.9) < 0.15


def test_two_views_agree_with_an_independent_path_tracer() -> None:
    judge(compare([VIEWS[2], VIEWS[5]], 16, 144))


@pytest.mark.proof
def test_all_six_views_agree_with_an_independent_path_tracer() -> None:
    judge(compare(VIEWS, 28, 256))
