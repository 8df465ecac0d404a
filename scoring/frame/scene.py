"""A plan as a scene: every surface that a picture can show, in flat arrays that the kernels take whole.

Alphabet: F faces, P pieces (``trace``), K finishes (``finishes``), T things that own faces.

A face's own frame: ``corner`` + s ``u`` + t ``v`` for 0 <= s <= size[0], 0 <= t <= size[1]; the normal u x v points
into the air. Light and texture are laid out in (s, t), metres. Who sees a face is a mask of bits::

    bit 0..28   shots of a spin: a thing that moved is there for some of them, everything else for all
    NOBODY      a shot that sees all that stays in place, and no mover
    COUNTED     what the sight engine takes for solid: walls, things as blocks, leaves; no glass, no legs, no trim
    SOLID       what light has to go round: everything but glass, movers and the blocks of COUNTED
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.floor.plan import Plan
from scoring.frame.assemble import faces_of, home_of
from scoring.frame.bodies import Body, body_of
from scoring.frame.finishes import GLASS, table
from scoring.frame.noise import tile
from scoring.frame.solids import ALL_SHOTS, COUNTED, SOLID, Face
from scoring.frame.threads import on_threads
from scoring.frame.trace import planes_of, tree_of, trees_together

Reals = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int32]
Masks = NDArray[np.uint32]


class Scene(NamedTuple):
    """Faces, the pieces they are traced by, and the finishes they have. Arrays only."""

    corner: Reals
    """(F, 3) where a face's frame starts [m]."""
    u: Reals
    """(F, 3) unit vector."""
    v: Reals
    """(F, 3) unit vector, square to u."""
    normal: Reals
    """(F, 3) unit vector, u x v, into the air."""
    size_m: Reals
    """(F, 2) extent along u and v; the face fills it when it is a rectangle, else lies within."""
    lay_m: Reals
    """(F, 2) what is added to (s, t) for the texture."""
    finish: Ints
    """(F,) row of ``finishes``."""
    part: Ints
    """(F,) FLOOR, CEILING, WALL, ... of ``solids``."""
    owner: Ints
    """(F,) row of the list ``owners(plan)``: the space, opening or thing it belongs to; -1 for the outside."""
    area_m2: Reals
    """(F,) what the face covers."""
    seen: Masks
    """(F,) bits."""
    finishes: Reals
    """(K, COLUMNS)."""
    piece_start: Ints
    """(F + 1,) a face's pieces are ``piece_of[piece_start[f]:piece_start[f + 1]]``, rows of ``planes``."""
    piece_of: Ints
    """(P,)"""
    piece_face: Ints
    """(P,) the face of each piece, in the order of ``planes``."""
    planes: Reals
    """(P, 13) pieces for the tracer."""
    boxes: Singles
    """(8 M, 6) boxes of the tree."""
    links: Ints
    """(8 M, 3) links of the tree."""
    tiles: Singles
    """Noise for textures (``noise``)."""
    home: Reals
    """(4,) middle of what is furnished (x, y), its lowest floor and its half diagonal [m]."""


class Lit(NamedTuple):
    """Light on a scene: a lattice of nodes on every face, the sun's disc apart, the sky by direction.

    The lattice of face f has ``across[f]`` nodes along u and ``along[f]`` along v, at least 1 each, the outer ones on
    the rim of its (s, t) rectangle: node (i, j) stands at s = size[0] i / (across - 1), t = size[1] j / (along - 1),
    and is row ``start[f] + j * across[f] + i`` of ``glow``. With one node the light is the same along that side.
    Between nodes it is bilinear. Nodes that fall off a face that is no rectangle have to hold a sensible value too.

    What leaves a white surface toward anybody: ``glow`` (irradiance by all but the sun's disc, over pi) plus the
    share of the sun's disc that is seen, times ``sun``, times the cosine. A surface of reflectance r sends r times it.
    """

    start: NDArray[np.int64]
    """(F,) first node of each face in ``glow``."""
    across: Ints
    """(F,) nodes along u."""
    along: Ints
    """(F,) nodes along v."""
    glow: Singles
    """(nodes, 3) radiance of a white surface without the sun's disc [cd/m2]."""
    sun_start: NDArray[np.int64]
    """(F,) first node of each face in ``sun_share``; -1 where the sun does not come at all."""
    sun_across: Ints
    sun_along: Ints
    sun_share: Singles
    """(sun nodes,) share of the sun's disc that is seen, 0..1, laid out as ``glow``."""
    sun: Singles
    """(3,) radiance of a white surface square on to the open sun [cd/m2]; zero without a sun."""
    toward_sun: Reals
    """(3,) unit vector toward the sun."""
    lamp: Singles
    """(F, 3) radiance that a face sends out by itself [cd/m2]."""
    sky: Singles
    """(rows, columns, 3) radiance of the sky without clouds [cd/m2]: row i at elevation 90 i / (rows - 1) deg, column
    j at 360 j / columns deg counter-clockwise from east; bilinear, columns go round."""
    cloud: float
    """How much of the sky bears clouds, 0..1: drawn for the eye; the light is solved without them."""


def evenly_lit(scene: Scene, radiance_cd_m2: float = 100.0) -> Lit:
    """The same light on everything: for a start, for tests of geometry, and for looking at textures."""
    faces = len(scene.corner)
    ones = np.ones(faces, np.int32)
    sky = np.full((2, 4, 3), radiance_cd_m2, np.float32) * np.array([0.8, 0.9, 1.1], np.float32)
    lamps = (scene.finishes[scene.finish, 11] == 3.0)[:, None]
    return Lit(
        start=np.arange(faces, dtype=np.int64),
        across=ones,
        along=ones.copy(),
        glow=np.full((faces, 3), radiance_cd_m2, np.float32),
        sun_start=np.full(faces, -1, np.int64),
        sun_across=ones.copy(),
        sun_along=ones.copy(),
        sun_share=np.zeros(1, np.float32),
        sun=np.zeros(3, np.float32),
        toward_sun=np.array([0.0, 0.0, 1.0]),
        lamp=np.where(lamps, radiance_cd_m2, 0.0).astype(np.float32) * np.ones((1, 3), np.float32),
        sky=sky,
        cloud=0.3,
    )


def scene_of(faces: Sequence[Face], home: tuple[float, float, float, float]) -> Scene:
    """Faces as a scene, with the tree that the tracer walks."""
    return _traceable(body_of(faces), np.array(home))


def _traceable(body: Body, home: Reals) -> Scene:
    corners, runs, rises, triangles = body.piece_corner, body.run, body.rise, body.triangle
    of_face, faces = body.piece_face, len(body.corner)
    areas = np.linalg.norm(np.cross(runs, rises), axis=1) * np.where(triangles, 0.5, 1.0)
    order, boxes, links = tree_of(corners, runs, rises, triangles)
    rows = table(body.kinds)
    masks = body.seen.copy()
    masks[rows[body.finish, 11] == GLASS] &= np.uint32(ALL_SHOTS)
    return Scene(
        corner=body.corner,
        u=body.u,
        v=body.v,
        normal=np.cross(body.u, body.v),
        size_m=body.size_m,
        lay_m=body.lay_m,
        finish=body.finish,
        part=body.part,
        owner=body.owner,
        area_m2=np.bincount(of_face, weights=areas, minlength=faces).astype(np.float64),
        seen=masks,
        finishes=rows,
        piece_start=np.concatenate([[0], np.cumsum(np.bincount(of_face, minlength=faces))]).astype(np.int32),
        piece_of=np.argsort(order).astype(np.int32),
        piece_face=np.ascontiguousarray(of_face[order]),
        planes=planes_of(corners, runs, rises, triangles)[order],
        boxes=boxes,
        links=links,
        tiles=tile(),
        home=home,
    )


NOBODY = 1 << 29
"""A shot that sees all that stays in place, and no mover."""
Mover = tuple[Body, int]
"""Something that moves or stands by what moves, and the shots (bits 0..28) that see it there."""


def with_movers(still: Scene, movers: Sequence[Mover]) -> Scene:
    """A scene with movers in it, whose faces are its last: each brings a tree of its own, what stays keeps its."""
    if not movers:
        return still
    seen = [body._replace(seen=np.full_like(body.seen, shots & ALL_SHOTS & ~NOBODY)) for body, shots in movers]
    parts = [still, *on_threads(lambda body: _traceable(body, still.home), seen)]
    faces, pieces, kinds = (
        np.cumsum([0, *(len(rows) for rows in of)], dtype=np.int32)
        for of in zip(*((one.corner, one.planes, one.finishes) for one in parts), strict=True)
    )
    counted = {
        "finish": [one.finish + kinds[k] for k, one in enumerate(parts)],
        "piece_start": [one.piece_start[k > 0 :] + pieces[k] for k, one in enumerate(parts)],
        "piece_of": [one.piece_of + pieces[k] for k, one in enumerate(parts)],
        "piece_face": [one.piece_face + faces[k] for k, one in enumerate(parts)],
    }
    plain = ("corner", "u", "v", "normal", "size_m", "lay_m", "part", "owner", "area_m2", "seen", "finishes", "planes")
    counted |= {name: [getattr(one, name) for one in parts] for name in plain}
    boxes, links = trees_together([(one.boxes, one.links) for one in parts], pieces)
    return still._replace(boxes=boxes, links=links, **{name: np.concatenate(rows) for name, rows in counted.items()})


def build_scene(plan: Plan, level: int, *, seed: int) -> Scene:
    """The scene round one level of a plan, with the levels that flights join to it; colours and patterns by seed."""
    return scene_of(faces_of(plan, level, seed), home_of(plan, level))


def owners(plan: Plan) -> list[str]:
    """What ``Scene.owner`` counts: ids of the spaces, openings, things and flights of all levels, in that order."""
    ids: list[str] = []
    for level in plan.levels:
        for group in (level.spaces, level.openings, level.things):
            ids.extend(one.id for one in group)
    return ids + [flight.id for flight in plan.flights]


__all__ = [
    "ALL_SHOTS", "COUNTED", "NOBODY", "SOLID", "Lit", "Mover", "Scene", "build_scene", "evenly_lit", "owners",
    "scene_of", "with_movers",
]  # fmt: skip
