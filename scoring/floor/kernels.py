"""Compiling the numeric kernels ahead of the first survey: the compiled code is kept on disk beside the modules."""

from __future__ import annotations

import numpy as np

from scoring.floor.corners import sees
from scoring.floor.sight import inside, nearest, visibility
from scoring.floor.strips import strip, table, widest


def compile_kernels() -> None:
    """Call every kernel once on a small room, in the very types that surveys use."""
    room = np.array([(0.0, 0.0, 4.0, 0.0), (4.0, 0.0, 4.0, 3.0), (4.0, 3.0, 0.0, 3.0), (0.0, 3.0, 0.0, 0.0)])
    spots = np.array([(1.0, 1.0), (3.0, 2.0)])
    visibility(room, 1.0, 1.0, 2.5)
    inside(room, 1.0, 1.0)
    nearest(room, 1.0, 1.0)
    strip(room, 1.0, 1.0, 3.0, 2.0)
    widest(room, 1.0, 1.0, 3.0, 2.0, 0.1, 0.4)
    table(room, spots, spots, 8.0)
    sees(room, 1.0, 1.0, spots, np.full(2, 8.0))


__all__ = ["compile_kernels"]
