"""The hand of a worker: a process of its own that does one task at a time, within hard limits of time and memory.

    worker --task id--> hand          the worker claims, waits, kills, and marks; the hand computes and stores
    worker <--"done" or "memory"--    no word in time, or a closed pipe: the hand is killed and the task given back

A task that hangs in compiled code cannot be stopped from inside its process. The hand lives from task to task, so
that compiled kernels are loaded once, and ends when its worker is gone.
"""

from __future__ import annotations

import contextlib
import os
import queue
import resource
import select
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import close_old_connections
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

MIB = 1 << 20
STARTED = b"ready"
DONE = b"done"
MEMORY = b"memory"
START_S = 120.0
"""A hand that is not ready after this long never will be."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one task may use."""

    time_s: float
    memory_mib: float

    @classmethod
    def of_site(cls) -> Limits:
        """As the settings say."""
        return cls(time_s=settings.TASK_TIME_S, memory_mib=settings.TASK_MEMORY_MIB)


class Hand:
    """The worker's side: begins the process when there is work, and again after it was killed."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._process: subprocess.Popen[bytes] | None = None

    def do(self, task_id: UUID) -> str:
        """Have the task done; returns "" when it came to its own end, else why it was cut off, in words."""
        process = self._ready()
        if process is None:
            return "its process could not be started"
        said = _ask(process, f"{task_id}\n".encode(), self.limits.time_s)
        if said == DONE:
            return ""
        self.close()
        if said is None:
            return f"stopped after {self.limits.time_s:g} s"
        if said == MEMORY:
            return f"wanted more than {self.limits.memory_mib:g} MiB of memory"
        return "its process died"

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self._process is None:
            return
        self._process.kill()
        self._process.communicate()
        self._process = None

    def _ready(self) -> subprocess.Popen[bytes] | None:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self.close()
        self._process = subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, str(settings.ROOT / "manage.py"), "worker", "--hand"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            # A key press at the worker's terminal is for the worker; in its session, its low priority holds.
            process_group=0,
        )
        if _ask(self._process, b"", START_S) != STARTED:
            self.close()
        return self._process


def _ask(process: subprocess.Popen[bytes], words: bytes, within_s: float) -> bytes | None:
    """Say something to a hand and hear its next word; empty when it died, None when it said nothing in time."""
    said, heard = process.stdin, process.stdout
    if said is None or heard is None:
        raise ValueError("a hand is spoken to through pipes")
    try:
        said.write(words)
        said.flush()
    except BrokenPipeError:
        return b""
    until = time.monotonic() + within_s
    while (left := until - time.monotonic()) > 0:
        if select.select([heard], [], [], left)[0]:
            return heard.readline().strip()
    return None


def serve(limits: Limits, **worker: Any) -> None:
    """The hand's side: do what comes in, one task at a time, until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _bound_memory(limits.memory_mib)
    # What a task prints goes where faults go; the pipe carries our words alone.
    reply = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    asked: queue.SimpleQueue[str] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(asked,), name="listener", daemon=True).start()
    doer = Worker(**worker)
    reply.write(STARTED + b"\n")
    while True:
        row = DBTaskResult.objects.get(pk=UUID(asked.get()))
        doer.run_task(row)
        close_old_connections()
        reply.write((MEMORY if row.exception_class_path == "builtins.MemoryError" else DONE) + b"\n")


def _listen(asked: queue.SimpleQueue[str]) -> None:
    """Pass on what the worker asks for; when the worker is gone, so is its hand, in the middle of a task too."""
    for line in sys.stdin:
        asked.put(line.strip())
    os._exit(0)


def _bound_memory(memory_mib: float) -> None:
    bound = int(memory_mib * MIB)
    # Some systems do not bound a process; there the time limit alone holds.
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (bound, bound))


__all__ = ["Hand", "Limits", "serve"]
