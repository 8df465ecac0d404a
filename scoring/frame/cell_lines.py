"""The line of every cell of a heading: what is seen over what is there, by least squares.

    seen = (a + a_x x + a_y y) clean + b        b: a second-degree polynomial of x and y, the stray light of the cell

Alphabet: cells (rows, columns), and the n pixels of each, row by row of its square.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from scoring.frame.kernels import kernel, woven
from scoring.frame.measure_seams import Floats

TERMS = np.array(((1, 0, 0), (1, 1, 0), (1, 0, 1), (0, 0, 0), (0, 1, 0), (0, 0, 1), (0, 2, 0), (0, 1, 1), (0, 0, 2)))
"""Of a cell's line, as powers of (clean, x, y): slope and its plane, and a bowl of stray light."""
SEEN = 3
"""Where sums with what is seen begin."""
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
    sums = np.zeros((*clean.shape[:2], SEEN + 2, 5, 5))
    _add_up(clean, seen, usable, at, sums)
    with_clean, x, y = TERMS.T
    normal = sums[..., with_clean[:, None] + with_clean, x[:, None] + x, y[:, None] + y]
    right = sums[..., SEEN + with_clean, x, y]
    scale = np.sqrt(np.diagonal(normal, axis1=2, axis2=3) / count) + 1e-12
    held = np.full(len(TERMS), 1e-9)
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
def _add_up(clean: Floats, seen: Floats, usable: Floats, at: Floats, sums: Floats) -> None:
    """Sums over the usable pixels of each cell (rows, columns, 5, 5, 5): of 1, clean, its square, seen and seen times
    clean, each times powers of x and of y, as far as terms and their products need them."""
    step = at.shape[0]
    for r in range(clean.shape[0]):
        for c in range(clean.shape[1]):
            for row in range(step):
                n0 = n1 = n2 = n3 = n4 = c0 = c1 = c2 = c3 = q0 = q1 = q2 = s0 = s1 = s2 = t0 = t1 = 0.0
                for column in range(step):
                    k = row * step + column
                    u, x, there, shown = usable[r, c, k], at[column], clean[r, c, k], seen[r, c, k]
                    ux, uc, us = u * x, u * there, u * shown
                    n0, n1, n2, n3, n4 = n0 + u, n1 + ux, n2 + ux * x, n3 + ux * x * x, n4 + ux * x * x * x
                    c0, c1, c2, c3 = c0 + uc, c1 + uc * x, c2 + uc * x * x, c3 + uc * x * x * x
                    q0, q1, q2 = q0 + uc * there, q1 + uc * there * x, q2 + uc * there * x * x
                    s0, s1, s2 = s0 + us, s1 + us * x, s2 + us * x * x
                    t0, t1 = t0 + us * there, t1 + us * there * x
                power = 1.0
                for j in range(5):
                    _put(sums[r, c, 0], 4 - j, j, power, n0, n1, n2, n3, n4)
                    _put(sums[r, c, 1], 3 - j, j, power, c0, c1, c2, c3, 0.0)
                    _put(sums[r, c, 2], 2 - j, j, power, q0, q1, q2, 0.0, 0.0)
                    _put(sums[r, c, 3], 2 - j, j, power, s0, s1, s2, 0.0, 0.0)
                    _put(sums[r, c, 4], 1 - j, j, power, t0, t1, 0.0, 0.0, 0.0)
                    power *= at[row]


@woven
def _put(of: Floats, most: int, j: int, power: float, a: float, b: float, c: float, d: float, e: float) -> None:
    """Add a row's sums by powers of x, up to ``most``, times its power j of y."""
    row = (a, b, c, d, e)
    for i in range(most + 1):
        of[i, j] += power * row[i]


@kernel
def _add_up_off(clean: Floats, seen: Floats, usable: Floats, at: Floats, found: Floats, off2: Floats) -> None:
    """Sums over the usable pixels of each cell: of the squares of what the line is off by."""
    step = at.shape[0]
    for r in range(clean.shape[0]):
        for c in range(clean.shape[1]):
            for k in range(step * step):
                if usable[r, c, k] == 0.0:
                    continue
                there, x, y = clean[r, c, k], at[k % step], at[k // step]
                off = seen[r, c, k] - there * (found[r, c, 0] + x * found[r, c, 1] + y * found[r, c, 2])
                off -= found[r, c, 3] + x * (found[r, c, 4] + x * found[r, c, 6] + y * found[r, c, 7])
                off -= y * (found[r, c, 5] + y * found[r, c, 8])
                off2[r, c] += off * off


def mean_of(values: Floats, usable: Floats) -> Floats:
    """Mean of each cell over the pixels that can be compared."""
    return np.asarray((values * usable).sum(axis=-1) / np.maximum(usable.sum(axis=-1), 1.0))


__all__ = ["Lines", "lines_of", "mean_of"]
