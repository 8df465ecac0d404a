"""The darkroom: one heavy piece of work at a time, however many people ask, so that grading goes on beside it.

    request --ask(address, work)--> [ line, most urgent first ] --> one thread, at a lower priority --> bytes
                 |                                                                  |
                 '-- waits at most PATIENCE_S, then NotYet: come again -------------'   (the work goes on meanwhile)

Who asks for what is in the line already joins that work. Only a few requests may wait at once: the threads that are
left answer everything else.
"""

from __future__ import annotations

import heapq
import logging
import os
import threading
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures import TimeoutError as StillAtWork
from itertools import count

log = logging.getLogger(__name__)

PATIENCE_S = 8.0
"""How long a request waits for its picture."""
WAITING_MAX = 3
"""Requests that wait at once, of the eight threads of a small site."""
LINE_MAX = 80
"""Pieces of work in the line."""
RETRY_AFTER_S = 1
NICE = 10
"""Lower priority of the darkroom's thread, where the system has one for each thread."""

AT_ONCE, SOON, LATER = 0, 1, 2
"""How urgent a piece of work is: what moves under a finger, what somebody waits for, what may come last."""

Work = Callable[[], bytes]


class NotYet(Exception):
    """The work is in the line; ask again after ``RETRY_AFTER_S`` seconds."""


class Full(NotYet):
    """The line is full, and the work is not in it."""


class Darkroom:
    """One thread that makes things in turn."""

    def __init__(self, *, patience_s: float = PATIENCE_S, waiting_max: int = WAITING_MAX) -> None:
        self.patience_s = patience_s
        self._seats = threading.BoundedSemaphore(waiting_max)
        self._changed = threading.Condition()
        self._line: list[tuple[int, int, str, Work]] = []
        self._wanted: dict[str, Future[bytes]] = {}
        self._numbers = count()
        self._hands: threading.Thread | None = None

    def ask(self, address: str, work: Work, urgency: int = SOON) -> bytes:
        """The bytes that ``work`` makes. Raises NotYet, and whatever the work raises."""
        made = self.put_in_line(address, work, urgency)
        if not self._seats.acquire(blocking=False):
            raise NotYet
        try:
            return made.result(timeout=self.patience_s)
        except StillAtWork:
            if made.done():
                raise  # the work itself ran out of time
            raise NotYet from None
        finally:
            self._seats.release()

    def put_in_line(self, address: str, work: Work, urgency: int = SOON) -> Future[bytes]:
        """The work of that address, begun or waiting. Raises Full."""
        with self._changed:
            made = self._wanted.get(address)
            if made is not None:
                return made
            if len(self._line) >= LINE_MAX:
                raise Full
            made = self._wanted[address] = Future()
            heapq.heappush(self._line, (urgency, next(self._numbers), address, work))
            if self._hands is None:
                self._hands = threading.Thread(target=self._work_on, name="darkroom", daemon=True)
                self._hands.start()
            self._changed.notify()
        return made

    def _work_on(self) -> None:
        _step_back()
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._line)
                _, _, address, work = heapq.heappop(self._line)
                made = self._wanted[address]
            try:
                outcome: bytes | Exception = work()
            except Exception as error:
                log.exception("a picture could not be made")
                outcome = error
            with self._changed:
                del self._wanted[address]
            if isinstance(outcome, Exception):
                made.set_exception(outcome)
            else:
                made.set_result(outcome)


def _step_back() -> None:
    """Lower this thread's priority; threads that it starts take it over. (Linux has priorities by thread.)"""
    if hasattr(os, "setpriority") and os.uname().sysname == "Linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICE)


DARKROOM = Darkroom()

__all__ = ["AT_ONCE", "DARKROOM", "LATER", "RETRY_AFTER_S", "SOON", "Darkroom", "Full", "NotYet"]
