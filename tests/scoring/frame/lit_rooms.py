"""Small rooms for tests of light: boxes of one finish, seen from inside, with windows cut into their south wall."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import shapely

from scoring.frame.finishes import GLASS, LAMP, PLAIN, Finish, Rgb
from scoring.frame.scene import Lit, Scene, scene_of
from scoring.frame.solids import CEILING, FLOOR, GROUND, REAL, WALL, Pile, Vector, box_of
from scoring.light.sky import Sky
from scoring.light.sun import Sun

Window = tuple[float, float, float, float]
"""West and east jamb, sill and head [m]."""


def grey(share: float) -> Finish:
    """An even grey."""
    return Finish(PLAIN, (share, share, share))


def even_sky(cd_m2: float = 1000.0) -> Sky:
    """The same light from every direction above the horizon, and no sun."""
    table = np.full((3, 4, 3), cd_m2, np.float32)
    return Sky("overcast", Sun(0.0, 45.0), (0.0, 0.0, 1.0), np.zeros(3), table, 0.0, cd_m2 * np.pi)


def inside_of(
    pile: Pile,
    wide: float,
    deep: float,
    high: float,
    floor: Finish,
    walls: Finish,
    ceiling: Finish,
    window: Window | None = None,
    at: tuple[float, float] = (0.0, 0.0),
) -> None:
    """The six faces of a room whose south-west floor corner stands at ``at``; south is -y."""
    x, y = at
    pile.owner = 0
    pile.part = FLOOR
    pile.level(box_of(x, y, x + wide, y + deep), 0.0, floor)
    pile.part = CEILING
    pile.level(box_of(x, y, x + wide, y + deep), high, ceiling, up=False)
    pile.part = WALL
    up: Vector = (0.0, 0.0, high)
    pile.quad((x, y + deep, 0.0), (wide, 0.0, 0.0), up, walls)
    pile.quad((x, y, 0.0), (0.0, deep, 0.0), up, walls)
    pile.quad((x + wide, y + deep, 0.0), (0.0, -deep, 0.0), up, walls)
    region = box_of(0.0, 0.0, wide, high)
    if window is not None:
        region = region.difference(box_of(window[0], window[2], window[1], window[3]))
    turned_round = shapely.transform(region, lambda flat: flat * (-1.0, 1.0))
    pile.flat((x, y, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), turned_round, walls)
    pile.owner = -1
    pile.flat((x, y - 0.001, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), region, walls)


def pane(pile: Pile, window: Window, passes: Rgb) -> None:
    """Glass in a window of the south wall at y = 0."""
    west, east, sill, head = window
    pile.quad((west, 0.0, sill), (east - west, 0.0, 0.0), (0.0, 0.0, head - sill), Finish(PLAIN, passes, optic=GLASS))


def lamp_at(pile: Pile, x: float, y: float, z: float, side: float = 0.3) -> None:
    """A square that shines downward."""
    pile.owner = 0
    pile.part = CEILING
    pile.level(box_of(x - side / 2, y - side / 2, x + side / 2, y + side / 2), z,
               Finish(PLAIN, (0.0, 0.0, 0.0), optic=LAMP), up=False)  # fmt: skip


def land(pile: Pile, reach: float, finish: Finish) -> None:
    """Open ground."""
    pile.owner = -1
    pile.part = GROUND
    pile.level(box_of(-reach, -reach, reach, reach), -0.02, finish)


def built(pile: Pile) -> Scene:
    """The scene of a pile, everything seen by all."""
    assert all(face.seen & REAL for face in pile.faces)
    return scene_of(pile.faces, (2.0, 2.5, 0.0, 3.0))


def turned(scene_pile: Pile, by_deg: float) -> Pile:
    """The same faces turned about the vertical."""
    c, s = cos(radians(by_deg)), sin(radians(by_deg))

    def turn(a: Vector) -> Vector:
        return (c * a[0] - s * a[1], s * a[0] + c * a[1], a[2])

    out = Pile()
    for face in scene_pile.faces:
        pieces = tuple(
            piece._replace(corner=turn(piece.corner), run=turn(piece.run), rise=turn(piece.rise))
            for piece in face.pieces
        )
        out.faces.append(face._replace(corner=turn(face.corner), u=turn(face.u), v=turn(face.v), pieces=pieces))
    return out


def means(scene: Scene, lit: Lit) -> np.ndarray:
    """Mean irradiance of each face without the sun's disc, RGB (F, 3) [lx], by the lattice's own cells."""
    out = np.zeros((len(scene.corner), 3))
    for f in range(len(out)):
        m, n = int(lit.across[f]), int(lit.along[f])
        glow = lit.glow[lit.start[f] : lit.start[f] + m * n].reshape(n, m, 3).astype(float)
        across, along = np.ones(m), np.ones(n)
        for weights in (across, along):
            if len(weights) > 1:
                weights[[0, -1]] = 0.5
        weight = along[:, None] * across
        out[f] = np.pi * (glow * weight[..., None]).sum((0, 1)) / weight.sum()
    return out
