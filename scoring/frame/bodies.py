"""Faces as arrays, before they can be traced: those of a place, or of a body that is set down anywhere.

Alphabet: F faces, P pieces, K finishes (``scene``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.finishes import Finish
from scoring.frame.solids import Face, Vector

Reals = NDArray[np.float64]
Ints = NDArray[np.int32]


class Body(NamedTuple):
    """Faces and the pieces that they are cut into; see ``solids.Face`` and ``solids.Piece``."""

    kinds: tuple[Finish, ...]
    """(K,)"""
    corner: Reals
    """(F, 3)"""
    u: Reals
    v: Reals
    size_m: Reals
    """(F, 2)"""
    lay_m: Reals
    finish: Ints
    """(F,) row of ``kinds``."""
    part: Ints
    owner: Ints
    seen: NDArray[np.uint32]
    piece_corner: Reals
    """(P, 3)"""
    run: Reals
    rise: Reals
    triangle: NDArray[np.bool_]
    """(P,)"""
    piece_face: Ints
    """(P,) never falling."""


def body_of(faces: Sequence[Face]) -> Body:
    """Faces as arrays."""
    kinds = tuple(dict.fromkeys(face.finish for face in faces))
    rank = {finish: i for i, finish in enumerate(kinds)}
    pieces = [(i, piece) for i, face in enumerate(faces) for piece in face.pieces]
    return Body(
        kinds=kinds,
        corner=np.array([face.corner for face in faces]),
        u=np.array([face.u for face in faces]),
        v=np.array([face.v for face in faces]),
        size_m=np.array([face.size_m for face in faces]),
        lay_m=np.array([face.lay_m for face in faces]),
        finish=np.array([rank[face.finish] for face in faces], dtype=np.int32),
        part=np.array([face.part for face in faces], dtype=np.int32),
        owner=np.array([face.owner for face in faces], dtype=np.int32),
        seen=np.array([face.seen for face in faces], dtype=np.uint32),
        piece_corner=np.array([piece.corner for _, piece in pieces]),
        run=np.array([piece.run for _, piece in pieces]),
        rise=np.array([piece.rise for _, piece in pieces]),
        triangle=np.array([piece.triangle for _, piece in pieces]),
        piece_face=np.array([i for i, _ in pieces], dtype=np.int32),
    )


def set_down(body: Body, foot: Vector, facing_deg: float) -> Body:
    """A body that stands at the origin and faces east, somewhere else and turned counter-clockwise."""
    c, s = math.cos(math.radians(facing_deg)), math.sin(math.radians(facing_deg))
    turn = np.array(((c, s, 0.0), (-s, c, 0.0), (0.0, 0.0, 1.0)))
    turned = {name: getattr(body, name) @ turn for name in ("corner", "u", "v", "piece_corner", "run", "rise")}
    for name in ("corner", "piece_corner"):
        turned[name] += foot
    return body._replace(**turned)


__all__ = ["Body", "body_of", "set_down"]
