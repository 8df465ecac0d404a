"""Which workers are alive, by locks that the system drops when their holder dies: no clock, no heartbeat.

On the embedded database a worker locks a file of its own; on PostgreSQL it holds an advisory lock of its session,
so that workers on several hosts see one another.
"""

from __future__ import annotations

import fcntl
import os
import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

TRIES = 3
"""How often a task is begun before it is given up on."""


class Alive:
    """The lock of one worker, held from `take` to `drop` or to the death of its process."""

    def __init__(self, worker_id: str) -> None:
        self.worker_id = worker_id
        self._held: Any = None

    def take(self) -> bool:
        """Take the lock; False when somebody holds it."""
        self._held = _lock_file(self.worker_id) if _embedded() else _lock_session(self.worker_id)
        return self._held is not None

    def drop(self) -> None:
        """Let the lock go."""
        if isinstance(self._held, int):
            os.close(self._held)
        elif self._held is not None:
            self._held.close()
        self._held = None


def is_alive(worker_id: str) -> bool:
    """Whether a living process holds that worker's lock."""
    trial = Alive(worker_id)
    if not trial.take():
        return True
    trial.drop()
    return False


def reap() -> int:
    """Give the tasks of dead workers back to the queue, or up after `TRIES`; returns how many there were."""
    found = 0
    for running in DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING):
        if running.worker_ids and is_alive(running.worker_ids[-1]):
            continue
        # Only as it was read: between reading and writing its worker may have finished it.
        same = DBTaskResult.objects.filter(
            pk=running.pk, status=TaskResultStatus.RUNNING, worker_ids=running.worker_ids
        )
        if len(running.worker_ids) < TRIES:
            found += same.update(status=TaskResultStatus.READY)
        else:
            words = f"given up on: {len(running.worker_ids)} workers died at it"
            found += same.update(status=TaskResultStatus.FAILED, traceback=words, exception_class_path="")
    return found


def _embedded() -> bool:
    return connection.vendor == "sqlite"


def _lock_file(worker_id: str) -> int | None:
    folder = Path(settings.VAR) / "workers"
    folder.mkdir(parents=True, exist_ok=True)
    name = re.sub(r"[^A-Za-z0-9_-]", "_", worker_id)
    descriptor = os.open(folder / f"{name}.lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(descriptor)
        return None
    return descriptor


def _lock_session(worker_id: str) -> Any:
    own_session = connections.create_connection("default")
    with own_session.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(hashtext('worker'), hashtext(%s))", [worker_id])
        (taken,) = cursor.fetchone()
    if taken:
        return own_session
    own_session.close()
    return None


__all__ = ["TRIES", "Alive", "is_alive", "reap"]
