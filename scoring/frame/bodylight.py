"""Light on bodies that move: what comes to the body's middle from all round, by the direction that its skin faces.

The faces of a body are small and many; solved one by one, each would have its own noise and the body would look cut
from paper. Here each corner of a face is lit for the mean normal of the faces that meet there, so that skin is round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from scoring.frame.scene import SOLID, Lit, Scene
from scoring.frame.trace import first_hits

Rows = NDArray[Any]

ROUND_DEG = 60.0
"""Faces that meet at more than this keep their edge."""
NEIGHBOURS = 16
"""Faces that make the normal at a place."""
_NEAR_M = 1e-4


def directions_of(rows: int) -> tuple[Rows, Rows]:
    """Directions of a map of light (rows x 2 rows), (n, 3), and the solid angle of each [sr]."""
    t = (np.arange(rows) + 0.5) / rows * math.pi
    a = (np.arange(2 * rows) + 0.5) / (2 * rows) * 2.0 * math.pi
    down, turn = np.meshgrid(t, a, indexing="ij")
    out = np.stack([np.sin(down) * np.cos(turn), np.sin(down) * np.sin(turn), np.cos(down)], axis=-1).reshape(-1, 3)
    square = (2.0 * math.sin(0.5 * math.pi / rows) * math.pi / rows) * np.sin(down).ravel()
    return out, square


def with_bodies(scene: Scene, lit: Lit) -> Lit:
    """Light with room for the faces that it lacks, the last of a scene: dark yet, but for the sun where it comes."""
    first, faces = len(lit.start), len(scene.corner)
    if first == faces:
        return lit
    more = np.arange(faces - first)
    pair = np.full(len(more), 2, lit.across.dtype)
    one = np.ones(len(more), lit.sun_across.dtype)
    middles = scene.corner[first:] + 0.5 * (
        scene.size_m[first:, :1] * scene.u[first:] + scene.size_m[first:, 1:] * scene.v[first:]
    )
    toward = np.broadcast_to(lit.toward_sun, middles.shape)
    open_ = np.zeros(len(more), lit.sun_share.dtype)
    facing = (scene.normal[first:] @ lit.toward_sun > 0.0) & (lit.sun.any() and lit.toward_sun[2] > 0.0)
    if facing.any():
        starts = middles[facing] + 1e-3 * scene.normal[first:][facing]
        open_[facing] = first_hits(scene, starts, toward[facing], SOLID)[0] < 0
    return lit._replace(
        start=np.concatenate([lit.start, len(lit.glow) + 4 * more]),
        across=np.concatenate([lit.across, pair]),
        along=np.concatenate([lit.along, pair]),
        glow=np.concatenate([lit.glow, np.zeros((4 * len(more), 3), lit.glow.dtype)]),
        sun_start=np.concatenate([lit.sun_start, len(lit.sun_share) + more]),
        sun_across=np.concatenate([lit.sun_across, one]),
        sun_along=np.concatenate([lit.sun_along, one]),
        sun_share=np.concatenate([lit.sun_share, open_]),
        lamp=np.concatenate([lit.lamp, np.zeros((len(more), 3), lit.lamp.dtype)]),
    )


def lit_bodies(scene: Scene, lit: Lit, bodies: Sequence[Rows], around: Sequence[Rows]) -> Lit:
    """Light with the faces of each body (rows of the scene) lit anew by its own map of light, (rows, 2 rows, 3).

    Their lattice is that of ``with_bodies``.
    """
    glow = lit.glow.copy()
    for faces, view in zip(bodies, around, strict=True):
        toward, square = directions_of(view.shape[0])
        places, nodes, normals = _nodes(scene, lit, faces)
        smooth = _rounded(scene, faces, places, normals)
        share = np.maximum(smooth.astype(np.float32) @ toward.T.astype(np.float32), np.float32(0.0))
        glow[nodes] = share @ (square[:, None] * view.reshape(-1, 3) / math.pi).astype(np.float32)
    return lit._replace(glow=glow)


def _nodes(scene: Scene, lit: Lit, faces: Rows) -> tuple[Rows, Rows, Rows]:
    """Corners of faces (4 n, 3), where the lattice of ``with_bodies`` has its nodes, their rows in ``glow``, and the
    normals of their faces."""
    along_u, along_v = (scene.size_m[faces, k, None] * (scene.u, scene.v)[k][faces] for k in (0, 1))
    share_u, share_v = np.array((0.0, 1.0, 0.0, 1.0)), np.array((0.0, 0.0, 1.0, 1.0))
    steps = share_u[:, None] * along_u[:, None] + share_v[:, None] * along_v[:, None]
    places = (scene.corner[faces, None] + steps).reshape(-1, 3)
    rows = (lit.start[faces, None] + np.arange(4)).ravel()
    return places, rows, np.repeat(scene.normal[faces], 4, axis=0)


def _rounded(scene: Scene, faces: Rows, places: Rows, normals: Rows) -> Rows:
    """Mean normals at places on a body: of its faces, the nearer the more, where they do not meet at an edge."""
    middles = scene.corner[faces] + 0.5 * (
        scene.size_m[faces, :1] * scene.u[faces] + scene.size_m[faces, 1:] * scene.v[faces]
    )
    reach2 = 0.25 * (scene.size_m[faces] ** 2).sum(axis=1)
    gap, near = cKDTree(middles).query(places, k=min(NEIGHBOURS, len(faces)))
    gap, near = gap.reshape(len(places), -1), near.reshape(len(places), -1)
    weight = np.exp(-(gap**2) / np.maximum(reach2[near], _NEAR_M**2)) * scene.area_m2[faces][near]
    turned = scene.normal[faces][near]
    weight *= np.einsum("nk,nmk->nm", normals, turned) > math.cos(math.radians(ROUND_DEG))
    out = np.einsum("nm,nmk->nk", weight, turned) + 1e-12 * normals
    size: Rows = np.linalg.norm(out, axis=1, keepdims=True)
    rounded: Rows = out / np.maximum(size, 1e-30)
    return rounded


__all__ = ["ROUND_DEG", "directions_of", "lit_bodies", "with_bodies"]
