"""Seats for trying things out: what is computed for a moment and kept by nobody leaves room for grading.

Every move of a station asks for a survey or another grade. So many are computed at once; whoever comes when all seats
are taken is asked to come again.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore

SEATS = 2
"""Of the eight threads of a small site."""
RETRY_AFTER_S = 1
_seats = BoundedSemaphore(SEATS)


class NoSeat(Exception):
    """All seats are taken; the words are for the person."""


@contextmanager
def seat() -> Iterator[None]:
    """A seat for as long as something is tried. Raises NoSeat at once when none is free."""
    if not _seats.acquire(blocking=False):
        raise NoSeat("Others are trying things out just now. Wait a moment and try again.")
    try:
        yield
    finally:
        _seats.release()


__all__ = ["RETRY_AFTER_S", "SEATS", "NoSeat", "seat"]
