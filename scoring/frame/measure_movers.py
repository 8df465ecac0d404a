"""Whatever is not still: copies at seams, ghosts inside a heading, the set-up's own image in a mirror.

The merged frame is traced once more, coarsely, with every exposure of a heading at once. A face that only some headings
see has moved between headings; one that only exposures see has moved while a heading was taken. What is met by way of
a mirror is an image.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.frame.evidence import Region, map_regions
from scoring.frame.finishes import GLASS, MIRROR
from scoring.frame.measure_seams import Floats
from scoring.frame.measure_tones import solid_angles
from scoring.frame.movers import EXPOSURE_BIT
from scoring.frame.pose import Heading, rays_of_row
from scoring.frame.threads import on_threads
from scoring.frame.trace import first_hit

HEADING_BITS = (1 << EXPOSURE_BIT) - 1
EXPOSURE_BITS = ((1 << 30) - 1) & ~HEADING_BITS
TURNS = 12


class Traced(NamedTuple):
    """What each pixel of a coarse merged frame shows: arrays (h, w), w = 2 h."""

    faces: NDArray[np.int32]
    """-1 for sky, -2 where no heading was taken."""
    mirrored: NDArray[np.bool_]
    distance_m: Floats
    """Along the ray, by way of mirrors; infinite for sky."""
    points_m: Floats
    """(h, w, 3) where the face is."""
    heading: NDArray[np.int32]
    """Which one shows it, by its place in the list of headings."""


@dataclass(frozen=True, slots=True)
class Movers:
    """What did not hold still in one frame."""

    copies_count: int
    """Bodies, whole or cut, that only some headings saw."""
    ghost_share: float
    """Of the sphere, where exposures of one heading differ."""
    self_count: int
    """Images in a mirror of what only some headings saw: the set-up and whoever turns it."""
    regions: tuple[Region, ...]


def trace_merged(scene: Any, headings: Sequence[Heading], height: int) -> Traced:
    """The merged frame at ``height`` rows: each pixel by the heading whose middle is nearest, without feather."""
    width = 2 * height
    lon = (np.arange(width) + 0.5) / width * 360.0 - 180.0
    lat = 90.0 - (np.arange(height) + 0.5) / height * 180.0
    off = np.abs((lon[:, None] - np.array([h.believed_deg for h in headings]) + 180.0) % 360.0 - 180.0)
    owner = off.argmin(axis=1)
    faces = np.full((height, width), -2, np.int32)
    mirrored = np.zeros((height, width), np.bool_)
    distance = np.full((height, width), np.inf)
    points = np.zeros((height, width, 3))

    def fill(k: int) -> None:
        heading, columns = headings[k], np.nonzero(owner == k)[0]
        az, el = np.meshgrid(lon[columns], lat)
        origins, rays = rays_of_row(heading.row(), np.stack([az.ravel(), el.ravel()], axis=1))
        found = (
            np.empty(len(rays), np.int32), np.empty(len(rays), np.bool_), np.empty(len(rays)), np.empty((len(rays), 3)),
        )  # fmt: skip
        _trace(scene, origins, rays, heading.shot_bit | EXPOSURE_BITS, *found)
        shape = (height, len(columns))
        faces[:, columns], mirrored[:, columns] = found[0].reshape(shape), found[1].reshape(shape)
        distance[:, columns], points[:, columns] = found[2].reshape(shape), found[3].reshape(*shape, 3)

    on_threads(fill, [k for k, heading in enumerate(headings) if heading.taken and (owner == k).any()])
    return Traced(faces, mirrored, distance, points, np.broadcast_to(owner, (height, width)).astype(np.int32))


@njit(nogil=True, cache=True)
def _trace(
    scene: Any, origins: Any, rays: Any, bit: int, faces: Any, mirrored: Any, distance: Any, points: Any
) -> None:
    for i in range(rays.shape[0]):
        ox, oy, oz = origins[i, 0], origins[i, 1], origins[i, 2]
        dx, dy, dz = rays[i, 0], rays[i, 1], rays[i, 2]
        way = 0.0
        face = -1
        turned = False
        for _ in range(TURNS):
            face, t = first_hit(scene, ox, oy, oz, dx, dy, dz, bit)
            if face < 0:
                way = np.inf
                break
            way += t
            ox, oy, oz = ox + t * dx, oy + t * dy, oz + t * dz
            optic = int(scene.finishes[scene.finish[face], 11])
            if optic == MIRROR:
                nx, ny, nz = scene.normal[face, 0], scene.normal[face, 1], scene.normal[face, 2]
                twice = 2.0 * (dx * nx + dy * ny + dz * nz)
                dx, dy, dz = dx - twice * nx, dy - twice * ny, dz - twice * nz
                turned = True
            elif optic != GLASS:
                break
        faces[i], mirrored[i], distance[i] = face, turned, way
        points[i, 0], points[i, 1], points[i, 2] = ox, oy, oz


def movers_in(scene: Any, traced: Traced) -> Movers:
    """What did not hold still in a merged frame."""
    seen = np.where(traced.faces >= 0, scene.seen[np.maximum(traced.faces, 0)], np.uint32((1 << 30) - 1))
    by_heading, by_exposure = seen & HEADING_BITS, seen & EXPOSURE_BITS
    some = (by_heading != HEADING_BITS) & (by_heading != 0)
    stirred = (by_heading == 0) & (by_exposure != 0)
    share = solid_angles(*traced.faces.shape)
    copies = map_regions("copies_count", some & ~traced.mirrored, share)
    images = map_regions("self_count", some & traced.mirrored, share)
    ghosts = map_regions("ghost_share", stirred, share)
    return Movers(len(copies), float((stirred * share).sum()), len(images), copies + images + ghosts)


__all__ = ["Movers", "Traced", "movers_in", "trace_merged"]
