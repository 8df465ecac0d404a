"""The line of every cell of a heading: what is seen over what is there, by least squares.

    seen = (a + a_x x + a_y y) clean + b        b: a second-degree polynomial of x and y, the stray light of the cell

Alphabet: cells (rows, columns), and the n pixels of each, row by row of its square.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from scoring.frame.kernels import kernel, woven
from scoring.frame.measure_seams import Floats

TERMS = 9
"""Of a cell's line: slope and its plane, and a bowl of stray light."""
ALIKE_PX = 20.0
"""So many pixels of a cell tell the same, as fine detail is smoothed away."""
STEADY = 1e-5
"""How much a cell is held to have the same shade everywhere, where its detail does not say otherwise."""


class Lines(NamedTuple):
    """Of each cell: what is seen over what is there."""

    slope: Floats
    stray: Floats
    """Mean of the cell, in the light's own unit."""
    error: Floats
    """Of the slope, one standard deviation."""
    detail: Floats
    """Spread of what is there about all that the line's other terms can follow."""


def lines_of(clean: Floats, seen: Floats, usable: Floats, step: int) -> Lines:
    """Of each cell: seen = (a + a_x x + a_y y) clean + b, b a second-degree polynomial of x and y, by least squares."""
    at = (np.arange(step) + 0.5) / step * 2.0 - 1.0
    count = clean.shape[2]
    normal, right = np.zeros((*clean.shape[:2], TERMS, TERMS)), np.zeros((*clean.shape[:2], TERMS))
    _add_up(clean, seen, usable, at, normal, right)
    scale = np.sqrt(np.diagonal(normal, axis1=2, axis2=3) / count) + 1e-12
    held = np.full(TERMS, 1e-9)
    held[1:3] = STEADY
    inverse = np.linalg.inv(normal / (scale[..., None] * scale[..., None, :]) + count * np.diag(held))
    found = (inverse @ (right / scale)[..., None])[..., 0] / scale
    doubt = inverse[..., 0, 0] / scale[..., 0] ** 2
    used = np.maximum(usable.sum(axis=-1), 1.0)
    off2 = np.zeros(clean.shape[:2])
    _add_up_off(clean, seen, usable, at, found, off2)
    return Lines(
        slope=found[..., 0],
        stray=mean_of(seen, usable) - (normal[..., :3, 3] * found[..., :3]).sum(axis=-1) / used,
        error=np.sqrt(np.maximum(off2 / used * doubt, 0.0) * ALIKE_PX),
        detail=1.0 / np.sqrt(np.maximum(doubt * used, 1e-30)),
    )


@kernel
def _add_up(clean: Floats, seen: Floats, usable: Floats, at: Floats, normal: Floats, right: Floats) -> None:
    """Sums over the usable pixels of each cell: of the products of all terms, and of each term with what is seen."""
    step = at.shape[0]
    for r in range(clean.shape[0]):
        for c in range(clean.shape[1]):
            cell, to = normal[r, c], right[r, c]
            for k in range(step * step):
                if usable[r, c, k] == 0.0:
                    continue
                terms = _terms(clean[r, c, k], at[k % step], at[k // step])
                for i in range(TERMS):
                    to[i] += terms[i] * seen[r, c, k]
                    for j in range(i + 1):
                        cell[i, j] += terms[i] * terms[j]
            for i in range(TERMS):
                for j in range(i):
                    cell[j, i] = cell[i, j]


@kernel
def _add_up_off(clean: Floats, seen: Floats, usable: Floats, at: Floats, found: Floats, off2: Floats) -> None:
    """Sums over the usable pixels of each cell: of the squares of what the line is off by."""
    step = at.shape[0]
    for r in range(clean.shape[0]):
        for c in range(clean.shape[1]):
            for k in range(step * step):
                if usable[r, c, k] == 0.0:
                    continue
                terms = _terms(clean[r, c, k], at[k % step], at[k // step])
                off = seen[r, c, k]
                for i in range(TERMS):
                    off -= terms[i] * found[r, c, i]
                off2[r, c] += off * off


@woven
def _terms(clean: float, x: float, y: float) -> tuple[float, ...]:
    return clean, clean * x, clean * y, 1.0, x, y, x * x, x * y, y * y


def mean_of(values: Floats, usable: Floats) -> Floats:
    """Mean of each cell over the pixels that can be compared."""
    return np.asarray((values * usable).sum(axis=-1) / np.maximum(usable.sum(axis=-1), 1.0))


__all__ = ["Lines", "lines_of", "mean_of"]
