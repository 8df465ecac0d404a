"""How a camera writes light as levels 0..255, and how the levels are read back: the curve of sRGB (IEC 61966-2-1)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import Floats

Levels = NDArray[np.uint8]


def encoded(linear: NDArray[np.floating]) -> Floats:
    """Linear shares 0..1 as sRGB shares 0..1."""
    at = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    out: Floats = np.where(at <= 0.0031308, 12.92 * at, 1.055 * at ** (1.0 / 2.4) - 0.055)
    return out


def decoded(shares: NDArray[np.floating]) -> Floats:
    """sRGB shares 0..1 as linear shares 0..1: the inverse of `encoded`."""
    at = np.clip(np.asarray(shares, dtype=np.float64), 0.0, 1.0)
    out: Floats = np.where(at <= 0.04045, at / 12.92, ((at + 0.055) / 1.055) ** 2.4)
    return out


LINEAR_OF_LEVEL: Floats = decoded(np.arange(256) / 255.0)
"""Linear share of each level, (256,)."""


def levels(linear: NDArray[np.floating]) -> Levels:
    """Linear shares as levels 0..255, rounded, of any shape."""
    out: Levels = np.round(255.0 * encoded(linear)).astype(np.uint8)
    return out


def level_table(steps: int = 65536) -> Levels:
    """Levels of linear shares i / (steps - 1): for kernels that look them up."""
    return levels(np.arange(steps) / (steps - 1.0))


__all__ = ["LINEAR_OF_LEVEL", "Levels", "decoded", "encoded", "level_table", "levels"]
