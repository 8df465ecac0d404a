"""Work in a process of its own, at a lower priority: whoever asked waits without holding Python up for others.

    thread --work--> process that begins with the first work --bytes, or what was raised--> thread
       |                                                                                     |
       '-- no answer within LONGEST_S, or a process that died: killed, and begun anew for the next

Threads of one process take turns at Python. A request that does so hundreds of times, at every word of the database,
loses one each time to whoever draws in a thread beside it; to another process it loses none. The process ends with
the one that began it, in the middle of a piece of work too.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import threading
import traceback
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess

import django

from trainer.renders.darkroom import NICE, Died, Work

START_S = 120.0
"""A process that is not ready after this long never will be."""
LONGEST_S = 300.0
"""The longest work: compiling what draws, where nothing is compiled yet, takes about a third of this, the light of a
large floor on a slow machine a tenth."""
YOUNG = (50_000, 20, 50)
"""Objects that are made before the youngest are looked through for what nothing needs any more, and how seldom the
older ones are: a board of thousands makes a hundred thousand a page, a scene as many, and looking through all that
lives took a quarter of a second at times."""


class Apart:
    """One process that does what it is given, one piece at a time. Work has to be what `pickle` can send."""

    def __init__(self, longest_s: float = LONGEST_S) -> None:
        self.longest_s = longest_s
        self._at: tuple[BaseProcess, Connection] | None = None

    def __call__(self, work: Work) -> bytes:
        """What the work makes. Raises what the work raises, and Died."""
        try:
            line = self._line()
            line.send(work)
            made = _heard(line, self.longest_s)
        except (EOFError, OSError, Died) as error:
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
            _heard(line, START_S)
        return self._at[1]


def _heard(line: Connection, within_s: float) -> bytes | Exception:
    """What the process says next. Raises Died when that is nothing."""
    if not line.poll(within_s):
        raise Died(f"stopped after {within_s:g} s")
    said: bytes | Exception = line.recv()
    return said


def _serve(line: Connection) -> None:
    """Do what comes in until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, name="parent", daemon=True).start()
    # Begun by a thread that has stepped back already, it may be as low as it should be.
    os.nice(max(0, NICE - os.nice(0)))
    django.setup()
    gc.set_threshold(*YOUNG)
    line.send(b"ready")
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
            made = _sendable(error)
        line.send(made)
        if fresh:
            # What the first work loaded stays, and is never looked through again.
            gc.collect()
            gc.freeze()
            fresh = False


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(0)


def _sendable(error: Exception) -> Exception:
    """An error as another process can raise it, with where it came from as a note: a traceback does not go along."""
    error.add_note("".join(traceback.format_exception(error)))
    try:
        pickle.loads(pickle.dumps(error))  # noqa: S301 - what we have just made ourselves
    except Exception:
        return RuntimeError(f"{type(error).__name__}: {error}\n{error.__notes__[-1]}")
    return error


__all__ = ["LONGEST_S", "YOUNG", "Apart"]
