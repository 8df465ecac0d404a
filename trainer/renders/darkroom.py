"""The darkroom: one heavy piece of work at a time, however many people ask, so that grading goes on beside it.

    request --ask(address, work)--> [ line, most urgent first, in turns ] --> one thread, or its process --> bytes
                 |                                                                       |
                 '-- waits at most PATIENCE_S, then NotYet: come again ------------------'   (the work goes on)

Who asks for what is in the line already joins that work. Only a few requests may wait at once: the threads that are
left answer everything else. People take turns: what somebody asks for while other work of theirs is in the line comes
after the first work of everybody else, and nobody fills the line alone.
"""

from __future__ import annotations

import atexit
import heapq
import logging
import os
import threading
import time
from collections import Counter
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
LINE_EACH = 20
"""Pieces of work of one person in the line."""
LATER_EACH = 10
"""Work that may come last waits only while fewer of that person do: room is left for what moves under their finger."""
RETRY_AFTER_S = 1
GIVEN_UP_S = 300.0
"""So long work that took its process along is not tried again: it would hold up everybody else's once more."""
NICE = 10
"""Lower priority of the darkroom's process, and of its thread where the system has one for each thread."""

AT_ONCE, SOON, LATER = 0, 1, 2
"""How urgent a piece of work is: what moves under a finger, what somebody waits for, what may come last."""

Work = Callable[[], bytes]


class NotYet(Exception):
    """The work is in the line; ask again after ``RETRY_AFTER_S`` seconds."""


class Full(NotYet):
    """The line, or this person's share of it, is full, and the work is not in it."""


class GivenUp(Full):
    """The work took its process along a while ago, and is left alone for now."""


class Died(Exception):
    """The process that did the work died, or was stopped as it took too long; the work is not done."""


class Darkroom:
    """One thread that makes things in turn, itself or by what it was given to make them with."""

    def __init__(self, *, patience_s: float = PATIENCE_S, waiting_max: int = WAITING_MAX) -> None:
        self.patience_s = patience_s
        self._make: Callable[[Work], bytes] = lambda work: work()
        self._seats = threading.BoundedSemaphore(waiting_max)
        self._changed = threading.Condition()
        self._line: list[tuple[int, int, int, str, str, Work]] = []
        """Urgency, turn, number, who, address and work of each piece."""
        self._of: Counter[str] = Counter()
        """How many pieces in the line are whose."""
        self._wanted: dict[str, Future[bytes]] = {}
        self._given_up: dict[str, float] = {}
        """Until when, by address."""
        self._numbers = count()
        self._hands: threading.Thread | None = None
        self._closed = False

    def make_with(self, make: Callable[[Work], bytes]) -> None:
        """Have all work done by this from now on, one piece after the other: by a process of its own, say."""
        self._make = make

    def close(self) -> None:
        """Drop what waits, as the process ends; what is at work may fail unheard, for what it needs is going too."""
        with self._changed:
            self._closed = True
            for *_, address, _ in self._line:
                self._wanted.pop(address).cancel()
            self._line.clear()
            self._of.clear()

    def ask(self, address: str, work: Work, urgency: int = SOON, who: str = "") -> bytes:
        """The bytes that ``work`` makes. Raises NotYet, and whatever the work raises."""
        made = self.put_in_line(address, work, urgency, who)
        if not self._seats.acquire(blocking=False):
            raise NotYet
        try:
            return made.result(timeout=self.patience_s)
        except StillAtWork:
            if made.done():
                raise  # the work itself ran out of time
            raise NotYet from None
        except Died:
            raise GivenUp from None
        finally:
            self._seats.release()

    def put_in_line(self, address: str, work: Work, urgency: int = SOON, who: str = "") -> Future[bytes]:
        """The work of that address, begun or waiting; ``who`` asks for it, "" is the site. Raises Full."""
        with self._changed:
            made = self._wanted.get(address)
            if made is not None:
                return made
            if self._given_up.get(address, 0.0) > time.monotonic():
                raise GivenUp
            turn = self._of[who] if who else 0
            if len(self._line) >= LINE_MAX or turn >= (LATER_EACH if urgency == LATER else LINE_EACH):
                raise Full
            made = self._wanted[address] = Future()
            heapq.heappush(self._line, (urgency, turn, next(self._numbers), who, address, work))
            self._of[who] += 1
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
                _, _, _, who, address, work = heapq.heappop(self._line)
                self._of[who] -= 1
                made = self._wanted[address]
            try:
                outcome: bytes | Exception = self._make(work)
            except Exception as error:
                if not self._closed:
                    log.exception("a picture could not be made")
                outcome = error
            with self._changed:
                del self._wanted[address]
                if isinstance(outcome, Died):
                    self._give_up(address)
            if isinstance(outcome, Exception):
                made.set_exception(outcome)
            else:
                made.set_result(outcome)

    def _give_up(self, address: str) -> None:
        now = time.monotonic()
        self._given_up = {one: until for one, until in self._given_up.items() if until > now}
        self._given_up[address] = now + GIVEN_UP_S


def _step_back() -> None:
    """Lower this thread's priority; threads that it starts take it over. (Linux has priorities by thread.)"""
    if hasattr(os, "setpriority") and os.uname().sysname == "Linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICE)


DARKROOM = Darkroom()
atexit.register(DARKROOM.close)

__all__ = [
    "AT_ONCE", "DARKROOM", "GIVEN_UP_S", "LATER", "NICE", "RETRY_AFTER_S", "SOON", "Darkroom", "Died", "Full",
    "GivenUp", "NotYet", "Work",
]  # fmt: skip
