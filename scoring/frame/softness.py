"""Blur on a heading's layer: out of focus, evenly on the sphere; in motion, along the turning direction.

Out of focus is a Gaussian by its edge: from 10 to 90 % it rises over 2.5631 standard deviations. On the layer, whose
columns crowd together toward the poles, it is 1 / cos(elevation) wider sideways, up to ``CROWDED`` times. A turning
camera smears every direction by the same azimuth, which is the same number of columns in every row: a box, exact.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Rows = NDArray[Any]

EDGE_SIGMAS = 2.5631
"""Rise of a Gaussian edge from 10 to 90 %, in standard deviations."""
CROWDED = 4.0
_TAPS = 3.5


def sigma_px(edge_deg: float, width_px: int) -> float:
    """Standard deviation [px] of a blur given by the rise of an edge."""
    return edge_deg / EDGE_SIGMAS * width_px / 360.0


def margins_px(sigma: float, smear_px: float, crowded: float = CROWDED) -> tuple[int, int]:
    """Columns and rows that a blur reads beyond a window whose columns crowd together so many times."""
    across = math.ceil(_TAPS * sigma * crowded) if sigma > 0.0 else 0
    return across + math.ceil(0.5 * smear_px + 0.5), math.ceil(_TAPS * sigma) if sigma > 0.0 else 0


def crowding(first: int, last: int, width_px: int) -> float:
    """How many times columns crowd together at most in rows first..last of a frame, as far as blur minds."""
    steepest = max(abs(0.25 - row / width_px) for row in (first, last)) * 2.0 * math.pi
    return min(1.0 / max(math.cos(steepest), 1e-3), CROWDED)


@njit(nogil=True, cache=True)
def blur_across(
    source: Rows, out: Rows, sigma: float, smear_px: float, width: int, r0: int, first: int, last: int
) -> None:
    """Rows first..last of a heading's layer (h, 3 w), whose row 0 is row r0 of the frame, blurred sideways."""
    wide = source.shape[1] // 3
    taps = np.empty(2 * _half(sigma * CROWDED, smear_px) + 1, np.float32)
    line = np.empty(3 * (wide + taps.size), np.float32)
    for j in range(first, last):
        lat = 0.5 * math.pi - (r0 + j + 0.5) * 2.0 * math.pi / width
        spread = sigma * min(1.0 / max(math.cos(lat), 1e-3), CROWDED)
        half = _box_and_bell(spread, smear_px, taps)
        line[3 * half : 3 * (half + wide)] = source[j]
        for i in range(half):
            for c in range(3):
                line[3 * i + c] = source[j, c]
                line[3 * (half + wide + i) + c] = source[j, 3 * (wide - 1) + c]
        row = out[j]
        row[:] = 0.0
        for k in range(2 * half + 1):
            _add(row, line[3 * k : 3 * (k + wide)], taps[k])


@njit(nogil=True, cache=True)
def blur_down(source: Rows, out: Rows, sigma: float, first: int, last: int) -> None:
    """As ``blur_across``, up and down."""
    high = source.shape[0]
    taps = np.empty(2 * _half(sigma, 0.0) + 1, np.float32)
    half = _box_and_bell(sigma, 0.0, taps)
    for j in range(first, last):
        row = out[j]
        row[:] = 0.0
        for k in range(-half, half + 1):
            _add(row, source[min(max(j + k, 0), high - 1)], taps[k + half])


@njit(nogil=True, cache=True)
def _add(row: Rows, more: Rows, share: float) -> None:
    """Add a share of one run of numbers to another; whole runs, so that the processor takes several at a time."""
    for i in range(row.size):
        row[i] += share * more[i]


@njit(nogil=True, cache=True)
def _half(sigma: float, box: float) -> int:
    """How many pixels a blur reaches to each side."""
    return math.ceil(_TAPS * sigma + 0.5 * box)


@njit(nogil=True, cache=True)
def _box_and_bell(sigma: float, box: float, taps: Rows) -> int:
    """Taps of a box of that length after a bell of that width, both integrated over pixels; half their number."""
    half = _half(sigma, box)
    total = 0.0
    for k in range(-half, half + 1):
        taps[k + half] = _area(k + 0.5, sigma, box) - _area(k - 0.5, sigma, box)
        total += taps[k + half]
    for k in range(2 * half + 1):
        taps[k] /= total
    return half


@njit(nogil=True, cache=True)
def _area(x: float, sigma: float, box: float) -> float:
    """Share of the blur to the left of x."""
    if box <= 1e-9:
        if sigma <= 1e-9:
            return 1.0 if x > 0.0 else 0.0
        return 0.5 * math.erfc(-x / (sigma * math.sqrt(2.0)))
    if sigma <= 1e-9:
        return min(1.0, max(0.0, x / box + 0.5))
    return (_bell(x + 0.5 * box, sigma) - _bell(x - 0.5 * box, sigma)) / box


@njit(nogil=True, cache=True)
def _bell(x: float, sigma: float) -> float:
    """Integral of the share of a bell to the left of x."""
    z = x / sigma
    return x * 0.5 * math.erfc(-z / math.sqrt(2.0)) + sigma * math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


__all__ = ["CROWDED", "EDGE_SIGMAS", "blur_across", "blur_down", "crowding", "margins_px", "sigma_px"]
