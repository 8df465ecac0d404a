"""Tones of the merged frame: what is flat white, what is flat black, and how dark its middle is.

Everything is weighed by solid angle, else the ceiling would count too much.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import LUMINANCE
from scoring.light.response import LINEAR_OF_LEVEL

WHITE_LEVEL, BLACK_LEVEL = 253, 3
"""A pixel is flat white when any channel is at least this, flat black when all are at most that, of 255."""
GREY_SHARE = 0.2140
"""Middle grey as it is shown: level 127 or 128, the middle of the display's scale."""


@dataclass(frozen=True, slots=True)
class Tones:
    """How a frame uses the scale from black to white."""

    clipped_share: float
    """Of the sphere."""
    crushed_share: float
    dark_ev: float
    """Doublings by which the middle tone, half of the sphere being darker, lies under middle grey; 0 when above."""


def solid_angles(height: int, width: int) -> NDArray[np.float64]:
    """Share of the sphere of each pixel, one value per row (height, 1), of a frame ``width`` wide."""
    edges = np.sin(np.pi * (0.5 - np.arange(height + 1) / height))
    return np.asarray((edges[:-1] - edges[1:])[:, None] / (2.0 * width))


def white(levels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which pixels (h, w) of levels (h, w, 3) are flat white."""
    return np.asarray((levels >= WHITE_LEVEL).any(axis=2))


def black(levels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which pixels (h, w) of levels (h, w, 3) are flat black."""
    return np.asarray((levels <= BLACK_LEVEL).all(axis=2))


def tones_of(levels: NDArray[np.uint8], taken: NDArray[np.bool_] | None = None) -> Tones:
    """Tones of a whole frame (h, w, 3), w = 2 h; ``taken`` leaves out columns that no heading shows."""
    height, width = levels.shape[:2]
    columns = np.ones(width, dtype=np.bool_) if taken is None else taken
    share = solid_angles(height, width)
    shown = levels[:, columns]
    luminance = LINEAR_OF_LEVEL[shown] @ LUMINANCE
    return Tones(
        clipped_share=float((white(shown) * share).sum()),
        crushed_share=float((black(shown) * share).sum()),
        dark_ev=max(0.0, float(np.log2(GREY_SHARE / max(_median(luminance, share), 1e-6)))),
    )


def _median(values: NDArray[Any], weights: NDArray[Any]) -> float:
    """Median of values (h, w) by weights (h, 1)."""
    flat = values.ravel()
    order = np.argsort(flat)
    sums = np.cumsum(np.broadcast_to(weights, values.shape).ravel()[order])
    return float(flat[order[min(int(np.searchsorted(sums, 0.5 * sums[-1])), len(order) - 1)]])


__all__ = ["Tones", "black", "solid_angles", "tones_of", "white"]
