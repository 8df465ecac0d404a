"""Work spread over a few threads: the kernels hold no lock, so that two cores do twice as much.

Whoever asks does the work, and a helper that the process has for good takes part when it is free. Threads made for each
piece of work would leave memory behind with the allocator.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from functools import partial
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")

THREADS = 2
BAND_ROWS = 64
_helpers = ThreadPoolExecutor(THREADS - 1, "helper")


def in_bands(work: Callable[[int, int], None], rows: int, band: int = BAND_ROWS) -> None:
    """Do work(first, last) for bands of rows on a few threads."""
    everything([partial(work, a, min(a + band, rows)) for a in range(0, rows, band)])


def everything(jobs: Sequence[Callable[[], None]]) -> None:
    """Do all jobs on a few threads; what one of them raises is raised."""
    on_threads(lambda job: job(), jobs)


def on_threads(work: Callable[[T], R], of: Sequence[T]) -> list[R]:
    """``work`` of each, in their order, on a few threads; what one of them raises is raised.

    A helper that has not begun is not waited for: within such work, and where a process was forked, there is none.
    """
    done: dict[int, R] = {}
    left = iter(range(len(of)))

    def take_part() -> None:
        try:
            for at in left:
                done[at] = work(of[at])
        finally:
            deque(left, maxlen=0)

    helped = [_helpers.submit(take_part) for _ in range(min(THREADS, len(of)) - 1)]
    try:
        take_part()
    finally:
        begun = [one for one in helped if not one.cancel()]
        wait(begun)
    for one in begun:
        one.result()
    return [done[at] for at in range(len(of))]


__all__ = ["BAND_ROWS", "everything", "in_bands", "on_threads"]
