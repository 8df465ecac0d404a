"""Work in a process of its own, at a lower priority: whoever asked waits without holding Python up for others.

    thread --work--> process that begins with the first work --bytes, or what was raised--> thread
       |                                                                                     |
       '-- no answer within LONGEST_S, or a process that died: killed, and begun anew for the next

Threads of one process take turns at Python. A request that does so hundreds of times, at every word of the database,
loses one each time to whoever draws in a thread beside it; to another process it loses none.
"""

from __future__ import annotations

import gc
import os
import signal
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

import django

from trainer.renders.darkroom import NICE, Work

LONGEST_S = 120.0
"""The longest work: the light of a large floor on a slow machine takes a quarter of this."""
YOUNG = (50_000, 20, 50)
"""Objects that are made before the youngest are looked through for what nothing needs any more, and how seldom the
older ones are: a board of thousands makes a hundred thousand a page, a scene as many, and looking through all that
lives took a quarter of a second at times."""


class Died(Exception):
    """The process died, or had to be killed; the work is not done."""


class Apart:
    """One process that does what it is given, one piece at a time. Work has to be what `pickle` can send."""

    def __init__(self, longest_s: float = LONGEST_S) -> None:
        self.longest_s = longest_s
        self._at: tuple[BaseProcess, Connection] | None = None

    def __call__(self, work: Work) -> bytes:
        """What the work makes. Raises what the work raises, and Died."""
        line = self._line()
        try:
            line.send(work)
            if not line.poll(self.longest_s):
                raise Died(f"stopped after {self.longest_s:g} s")
            made: bytes | Exception = line.recv()
        except (EOFError, ConnectionError, Died) as error:
            self.close()
            raise error if isinstance(error, Died) else Died("its process died") from error
        if isinstance(made, Exception):
            raise made
        return made

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self._at is not None:
            process, line = self._at
            self._at = None
            process.kill()
            process.join()
            line.close()

    def _line(self) -> Connection:
        if self._at is None or not self._at[0].is_alive():
            self.close()
            # Begun afresh: a copy of a process with threads may find their locks held for ever.
            context = get_context("spawn")
            line, end = context.Pipe()
            process = context.Process(target=_serve, args=(end,), name="darkroom", daemon=True)
            process.start()
            end.close()
            self._at = process, line
        return self._at[1]


def _serve(line: Connection) -> None:
    """Do what comes in until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.nice(NICE)
    django.setup()
    gc.set_threshold(*YOUNG)
    fresh = True
    while True:
        try:
            work: Work = line.recv()
        except EOFError:
            return
        made: bytes | Exception
        try:
            made = work()
        except Exception as error:
            made = error
        line.send(made)
        if fresh:
            # What the first work loaded stays, and is never looked through again.
            gc.collect()
            gc.freeze()
            fresh = False


__all__ = ["LONGEST_S", "YOUNG", "Apart", "Died"]
