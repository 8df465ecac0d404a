"""What a surface is made of: its pattern, colours and how light leaves it.

A *finish* is one row of numbers that the kernels read. Colours are linear reflectances (RGB, 0..1).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Rgb = tuple[float, float, float]

(
    PLAIN, PLASTER, PLANK, TILE, CARPET, PAPER, BRICK, WEAVE, WOOD, BOOKS, GRASS, GRAVEL, LEAVES, PICTURE, STONE,
    METAL, WATER, BARK, RUG, ASPHALT, PANEL, SHINGLE, ROOFING,
) = range(23)  # fmt: skip
"""Patterns, drawn by ``textures``."""

OPAQUE, MIRROR, GLASS, LAMP, LACE = range(5)
"""How light leaves a surface: spread evenly; thrown back as from a looking glass; let through; sent out by itself;
spread evenly, with holes between leaves."""

COLUMNS = 12


class Finish(NamedTuple):
    """One material. ``scale_m`` is the size of the pattern's piece along u and v [m]."""

    pattern: int
    colour: Rgb
    second: Rgb = (0.0, 0.0, 0.0)
    """The other colour of the pattern: grout, gaps, stripes."""
    scale_m: tuple[float, float] = (1.0, 1.0)
    strength: float = 0.3
    """How much the pattern varies, 0..1."""
    seed: int = 0
    optic: int = OPAQUE

    def row(self) -> tuple[float, ...]:
        """The finish as the kernels read it, ``COLUMNS`` numbers."""
        return (
            float(self.pattern), *self.colour, *self.second, *self.scale_m, self.strength, float(self.seed % 65536),
            float(self.optic),
        )  # fmt: skip


def table(finishes: Sequence[Finish]) -> NDArray[np.float64]:
    """Finishes as rows, shape (n, COLUMNS)."""
    return np.array([finish.row() for finish in finishes], dtype=np.float64).reshape(-1, COLUMNS)


def mixed(a: Rgb, b: Rgb, share: float) -> Rgb:
    """A colour between two: ``share`` of the second."""
    return tuple(x + (y - x) * share for x, y in zip(a, b, strict=True))  # type: ignore[return-value]


def dimmed(colour: Rgb, by: float) -> Rgb:
    """A colour with its reflectance multiplied."""
    return (colour[0] * by, colour[1] * by, colour[2] * by)


__all__ = [
    "ASPHALT", "BARK", "BOOKS", "BRICK", "CARPET", "COLUMNS", "GLASS", "GRASS", "GRAVEL", "LACE", "LAMP", "LEAVES",
    "METAL", "MIRROR", "OPAQUE", "PANEL", "PAPER", "PICTURE", "PLAIN", "PLANK", "PLASTER", "ROOFING", "RUG", "SHINGLE",
    "STONE", "TILE", "WATER", "WEAVE", "WOOD", "Finish", "Rgb", "dimmed", "mixed", "table",
]  # fmt: skip
