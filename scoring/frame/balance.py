"""Light thrown to and fro between patches, to the end: L = r (M L + D), row by row until nothing moves any more.

Two bounces would carry only half of the interreflected light of a white room. Gauss and Seidel's sweeps keep every
new value at once; they converge because every row of M adds up to at most 1 and every reflectance is below 1.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

RESIDUAL = 1e-4
"""Largest change of the last sweep, as a share of the mean."""
SWEEPS_MAX = 200
BRIGHTEST = 0.95
"""No surface throws back more than this share."""


def settle(exchange: csr_matrix, reflectance: NDArray[Any], direct: NDArray[Any]) -> tuple[NDArray[np.float64], int]:
    """Radiance that leaves each patch, RGB (P, 3), and the number of sweeps.

    ``exchange`` (P, P) holds form factors, ``reflectance`` (P, 3) and ``direct`` (P, 3) the light that comes from
    elsewhere as the radiance of a white surface. RuntimeError if it does not settle (no scene of ours does not).
    """
    reflect = np.minimum(np.asarray(reflectance, dtype=np.float64), BRIGHTEST)
    given = np.asarray(direct, dtype=np.float64)
    out = reflect * given
    for sweep in range(1, SWEEPS_MAX + 1):
        moved = _sweep(exchange.indptr, exchange.indices, exchange.data, reflect, given, out)
        if moved <= RESIDUAL * float(out.mean()) + 1e-12:
            return out, sweep
    raise RuntimeError(f"light does not settle after {SWEEPS_MAX} sweeps")


@njit(nogil=True, cache=True)
def _sweep(ends: Any, columns: Any, weights: Any, reflect: Any, given: Any, out: Any) -> float:
    most = 0.0
    for i in range(ends.shape[0] - 1):
        r = g = b = 0.0
        own = 0.0
        for q in range(ends[i], ends[i + 1]):
            j = columns[q]
            if j == i:
                own = weights[q]
                continue
            w = weights[q]
            r += w * out[j, 0]
            g += w * out[j, 1]
            b += w * out[j, 2]
        r = reflect[i, 0] * (given[i, 0] + r) / (1.0 - reflect[i, 0] * own)
        g = reflect[i, 1] * (given[i, 1] + g) / (1.0 - reflect[i, 1] * own)
        b = reflect[i, 2] * (given[i, 2] + b) / (1.0 - reflect[i, 2] * own)
        most = max(most, abs(r - out[i, 0]), abs(g - out[i, 1]), abs(b - out[i, 2]))
        out[i, 0], out[i, 1], out[i, 2] = r, g, b
    return most


__all__ = ["RESIDUAL", "settle"]
