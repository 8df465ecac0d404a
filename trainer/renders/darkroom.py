"""The darkroom: one heavy picture at a time, however many people ask, so that grading goes on beside it.

    request --ask(address, work)--> [ waiting line ] --> one thread, at a lower priority --> bytes
                 |                                                            |
                 '-- waits at most PATIENCE_S, then Busy: come again ---------'   (the work goes on meanwhile)

Who asks for what is being made already joins that work. Only a few requests may wait at once: the threads that are
left answer everything else.
"""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillAtWork

log = logging.getLogger(__name__)

PATIENCE_S = 8.0
"""How long a request waits for its picture."""
WAITING_MAX = 3
"""Requests that wait at once, of the eight threads of a small site."""
LINE_MAX = 80
"""Pictures in the waiting line."""
RETRY_AFTER_S = 1
NICE = 10
"""Lower priority of the darkroom's threads, where the system has one for each thread."""


class Busy(Exception):
    """The picture is not ready; ask again after ``RETRY_AFTER_S`` seconds."""


class Darkroom:
    """One thread that makes pictures in turn."""

    def __init__(self, *, patience_s: float = PATIENCE_S, waiting_max: int = WAITING_MAX) -> None:
        self.patience_s = patience_s
        self._seats = threading.BoundedSemaphore(waiting_max)
        self._guard = threading.Lock()
        self._line: dict[str, Future[bytes]] = {}
        self._hands = ThreadPoolExecutor(1, thread_name_prefix="darkroom", initializer=_step_back)

    def ask(self, address: str, work: Callable[[], bytes]) -> bytes:
        """The bytes that ``work`` makes. Raises Busy, and whatever the work raises."""
        made = self.put_in_line(address, work)
        if made is None or not self._seats.acquire(blocking=False):
            raise Busy
        try:
            return made.result(timeout=self.patience_s)
        except StillAtWork:
            if made.done():
                raise  # the work itself ran out of time
            raise Busy from None
        finally:
            self._seats.release()

    def put_in_line(self, address: str, work: Callable[[], bytes]) -> Future[bytes] | None:
        """The work of that address, begun or waiting; None when the line is full."""
        with self._guard:
            made = self._line.get(address)
            if made is not None:
                return made
            if len(self._line) >= LINE_MAX:
                return None
            made = self._line[address] = self._hands.submit(self._do, address, work)
        return made

    def _do(self, address: str, work: Callable[[], bytes]) -> bytes:
        try:
            return work()
        except Exception:
            log.exception("a picture could not be made")
            raise
        finally:
            with self._guard:
                self._line.pop(address, None)


def _step_back() -> None:
    """Lower this thread's priority; threads that it starts take it over. (Linux has priorities by thread.)"""
    if hasattr(os, "setpriority") and os.uname().sysname == "Linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICE)


DARKROOM = Darkroom()

__all__ = ["DARKROOM", "RETRY_AFTER_S", "Busy", "Darkroom"]
