"""The floor that low and hanging things hide from a lens over it.

With the lens H over the floor, a point of a thing at height z lies before the floor point H / (H - z) times as
far from the foot of the lens. A thing from b to h therefore hides what its outline sweeps when it is scaled
about that foot from H / (H - b) to H / (H - h)::

      lens ●
           │ \\  \\
         H │   \\   \\                  a convex outline sweeps the hull of its two scaled copies;
           │     ┌──┐  \\               other outlines are taken apart into convex ones
           │     │  │h   \\
      ─────┴─────┴──┴──────┴────        a thing that reaches over the lens hides all behind its lower rim
                 └─ hidden ─┘
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.shapes import Solid
from scoring.floor.sight import Array

ENDLESS = 1e4
"""Scale that stands for a shadow without end, when the thing stands right at the lens's foot."""

BEFORE = 1.0 - 1e-8
"""A shadow starts a hair before its thing, so that their outlines lie apart instead of nearly together."""


@dataclass(frozen=True, slots=True)
class Casters:
    """Convex pieces of the things over one floor, ready to be scaled.

    ``at`` (n, 2) holds their corners [m], ``of`` (n,) the piece of each corner in growing order; ``base`` and
    ``top`` (pieces,) are heights over the floor [m]; ``outline`` (pieces,) are their polygons.
    """

    at: Array
    of: NDArray[np.intp]
    base: Array
    top: Array
    outline: NDArray[Any]


def casters(solids: tuple[Solid, ...], floor: float) -> Casters:
    """Take solids apart into convex pieces over a floor at that absolute height [m]."""
    pieces: list[Any] = []
    heights: list[tuple[float, float]] = []
    for solid in solids:
        whole = solid.polygon
        convex = whole.convex_hull.area - whole.area <= 1e-9 * whole.area
        parts = [whole] if convex else list(shapely.get_parts(shapely.constrained_delaunay_triangles(whole)))
        pieces += parts
        heights += [(max(solid.base - floor, 0.0), solid.top - floor)] * len(parts)
    outline = np.array(pieces, dtype=object)
    shapely.prepare(outline)
    if len(pieces) == 0:
        return Casters(np.empty((0, 2)), np.empty(0, np.intp), np.empty(0), np.empty(0), outline)
    at, of = shapely.get_coordinates(outline, return_index=True)
    base, top = np.array(heights).T
    return Casters(at, of, base, top, outline)


def shadows(things: Casters, view: Any, x: float, y: float, height_m: float, reach_m: float) -> NDArray[Any]:
    """What each piece hides from a lens at that height over (x, y), as far as the reach: convex polygons.

    ``view`` is the polygon seen if there were no low things: what stands outside it casts no shadow in it.
    """
    if len(things.outline) == 0:
        return things.outline
    hit = shapely.intersects(view, things.outline)
    if not hit.any():
        return things.outline[:0]
    keep = hit[things.of]
    of = (np.cumsum(hit) - 1)[things.of[keep]]
    foot = np.array([x, y])
    off = things.at[keep] - foot
    base, top = things.base[hit], things.top[hit]
    near = height_m / (height_m - base) * BEFORE
    gap = np.maximum(shapely.distance(things.outline[hit], shapely.Point(x, y)), 2.0 * reach_m / ENDLESS)
    with np.errstate(divide="ignore"):
        far = np.where(top < height_m, height_m / np.maximum(height_m - top, 0.0), np.inf)
    far = np.maximum(np.minimum(far, 2.0 * reach_m / gap), near)
    both = np.concatenate([off * near[of, None], off * far[of, None]]) + foot
    order = np.argsort(np.concatenate([of, of]), kind="stable")
    clouds = shapely.linestrings(both[order], indices=np.concatenate([of, of])[order])
    hulls: NDArray[Any] = shapely.convex_hull(clouds)
    return hulls


__all__ = ["Casters", "casters", "shadows"]
