"""Work spread over a few threads: the kernels hold no lock, so that two cores do twice as much."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")

THREADS = 2
BAND_ROWS = 64


def in_bands(work: Callable[[int, int], None], rows: int, band: int = BAND_ROWS) -> None:
    """Do work(first, last) for bands of rows on a few threads."""
    everything([partial(work, a, min(a + band, rows)) for a in range(0, rows, band)])


def everything(jobs: Sequence[Callable[[], None]]) -> None:
    """Do all jobs on a few threads; what one of them raises is raised."""
    on_threads(lambda job: job(), jobs)


def on_threads(work: Callable[[T], R], of: Sequence[T]) -> list[R]:
    """``work`` of each, in their order, on a few threads; what one of them raises is raised."""
    if len(of) < 2:
        return [work(one) for one in of]
    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(work, of))


__all__ = ["BAND_ROWS", "everything", "in_bands", "on_threads"]
