"""One writer at a time, fairly: a lock in this process, then a lock on a file shared by all processes.

SQLite takes only one writer, and makes the others sleep in growing steps, so that some wait very long. Waiting
at a gate before BEGIN wakes the next one at once. The system drops the file lock when its holder dies.
"""

from __future__ import annotations

import fcntl
import os
import threading
import time
from collections import defaultdict

from django.db.utils import OperationalError

POLL_S = 0.002
"""How often the file lock is asked for while another process holds it."""

_in_process: dict[str, threading.Lock] = defaultdict(threading.Lock)
_register = threading.Lock()


class Gate:
    """The gate of one connection to one database file. ``wait_s`` is how long it waits before it gives up."""

    def __init__(self, path: str, wait_s: float) -> None:
        self.path = path
        self.wait_s = wait_s
        self.descriptor: int | None = None
        self.held = False
        with _register:
            self.lock = _in_process[path]

    def enter(self) -> None:
        """Wait for the gate. Raises OperationalError when it stays shut for the whole wait."""
        if self.held:
            return
        until = time.monotonic() + self.wait_s
        if not self.lock.acquire(timeout=self.wait_s):
            raise OperationalError("database is locked: another writer of this process holds it")
        try:
            self._lock_file(until)
        except BaseException:
            self.lock.release()
            raise
        self.held = True

    def leave(self) -> None:
        """Open the gate for the next writer; nothing happens when it is not held."""
        if not self.held:
            return
        self.held = False
        if self.descriptor is not None:
            fcntl.flock(self.descriptor, fcntl.LOCK_UN)
        self.lock.release()

    def close(self) -> None:
        """Leave, and let go of the file."""
        self.leave()
        if self.descriptor is not None:
            os.close(self.descriptor)
            self.descriptor = None

    def _lock_file(self, until: float) -> None:
        if self.descriptor is None:
            self.descriptor = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        while True:
            try:
                fcntl.flock(self.descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                if time.monotonic() >= until:
                    raise OperationalError("database is locked: a writer of another process holds it") from None
                time.sleep(POLL_S)
            else:
                return
