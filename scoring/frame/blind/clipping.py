"""Light that ran out of the frame's scale: the share of the sphere at white and at black, by solid angle.

Counted per pixel as seen from the lens: a pixel near the zenith takes less of the sphere than one at the horizon,
so a plain count of pixels would make too much of the ceiling. Shares are in per cent of the whole sphere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import find_objects, label

from scoring.frame.blind.sphere import Bytes, Floats, Trace, solid_angles

WHITE = 255
NEARLY_WHITE = 250
BLACK = 2
NEARLY_BLACK = 4
"""Steps of 255. A saved file rings by a few steps about hard edges, so the near limits say how sure the share is."""
BAND_PX = 256
CELL_DEG = 5.0
CELL_SHARE = 0.25
"""A cell of the drawing grid is marked when more than this share of it is out of scale."""
BOXES = 4


@dataclass(frozen=True, slots=True)
class Clipping:
    """Shares of the sphere [%]. ``..._up_to_percent`` counts what is nearly at the limit too."""

    clipped_percent: float
    clipped_up_to_percent: float
    crushed_percent: float
    crushed_up_to_percent: float
    traces: tuple[Trace, ...]


def find_clipping(rgb: Bytes) -> Clipping:
    """What of an sRGB frame (H, W, 3) is at white in any channel, or black in all of them."""
    height, width = rgb.shape[:2]
    rows, columns = round(180.0 / CELL_DEG), round(360.0 / CELL_DEG)
    share = np.zeros(4)
    cells = np.zeros((2, rows, columns))
    taken = np.zeros((rows, columns))
    part = 100.0 * solid_angles(height) / width
    in_column = np.minimum(np.arange(width) * columns // width, columns - 1)
    starts = np.flatnonzero(np.diff(in_column, prepend=-1))
    for top in range(0, height, BAND_PX):
        band = rgb[top : top + BAND_PX]
        brightest, weight = band.max(axis=2), part[top : top + BAND_PX]
        masks = (brightest >= WHITE, brightest >= NEARLY_WHITE, brightest <= BLACK, brightest <= NEARLY_BLACK)
        share += [float(mask.sum(axis=1) @ weight) for mask in masks]
        in_row = (np.arange(top, top + len(band)) * rows) // height
        for which, mask in enumerate((masks[0], masks[2])):
            np.add.at(cells[which], in_row, np.add.reduceat(mask, starts, axis=1, dtype=np.int64))
        np.add.at(taken, in_row, np.bincount(in_column, minlength=columns))
    traces = (*_boxes("clipped", cells[0] / taken), *_boxes("crushed", cells[1] / taken))
    return Clipping(float(share[0]), float(share[1]), float(share[2]), float(share[3]), traces)


def _boxes(role: str, shares: Floats) -> list[Trace]:
    """The largest connected patches of marked cells as boxes; patches meet across the frame's edge."""
    rows = len(shares)
    # Turned so that a free column comes first, no patch is cut by the edge.
    marked = shares > CELL_SHARE
    free = np.flatnonzero(~marked.any(axis=0))
    first = int(free[0]) if len(free) else 0
    patches, _ = label(np.roll(marked, -first, axis=1))
    found = []
    for number, where in enumerate(find_objects(patches), 1):
        down, across = where
        left = -180.0 + (across.start + first) * CELL_DEG
        left -= 360.0 if left >= 180.0 else 0.0
        right = left + (across.stop - across.start) * CELL_DEG
        low, high = 90.0 - down.stop * CELL_DEG, 90.0 - down.start * CELL_DEG
        middles = 90.0 - (np.arange(rows)[down] + 0.5) * CELL_DEG
        size = float(((patches[where] == number).sum(axis=1) * np.cos(np.radians(middles))).sum())
        found.append((size, Trace(role, "box", ((left, low), (right, high)))))  # type: ignore[arg-type]
    found.sort(key=lambda pair: -pair[0])
    return [trace for _, trace in found[:BOXES]]


__all__ = ["Clipping", "find_clipping"]
