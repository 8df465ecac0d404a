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
from django.db.models import Q
from django.utils import timezone
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


def living() -> int:
    """How many workers are alive; on the way, files of dead ones are swept up."""
    if not _embedded():
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND granted"
                " AND classid = (hashtext('worker')::bigint & 4294967295)::oid"
                " AND database = (SELECT oid FROM pg_database WHERE datname = current_database())"
            )
            return int(cursor.fetchone()[0])
    alive = 0
    for path in _folder().glob("*.lock"):
        trial = Alive(path.stem)
        if not trial.take():
            alive += 1
            continue
        path.unlink(missing_ok=True)
        trial.drop()
    return alive


def reap() -> int:
    """Give the tasks of dead workers back to the queue, or up after `TRIES`; returns how many there were."""
    found = 0
    for running in DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING):
        if running.worker_ids and is_alive(running.worker_ids[-1]):
            continue
        found += give_back(running, "its worker died")
    return found


def give_back(running: DBTaskResult[..., Any], why: str) -> bool:
    """Put a task that was cut off behind what else waits, or give up on it after `TRIES`; False when it had ended."""
    # Only as it was read: between reading and writing its worker may have finished it.
    same = DBTaskResult.objects.filter(pk=running.pk, worker_ids=running.worker_ids).filter(
        Q(status=TaskResultStatus.RUNNING)
        | Q(status=TaskResultStatus.FAILED, exception_class_path="builtins.MemoryError")
    )
    tries, now = len(running.worker_ids), timezone.now()
    if tries < TRIES:
        return bool(same.update(status=TaskResultStatus.READY, enqueued_at=now, finished_at=None))
    words = f"given up on after {tries} tries; the last time {why}"
    return bool(same.update(status=TaskResultStatus.FAILED, traceback=words, exception_class_path="", finished_at=now))


def _embedded() -> bool:
    return connection.vendor == "sqlite"


def _lock_file(worker_id: str) -> int | None:
    path = _folder() / f"{re.sub(r'[^A-Za-z0-9_-]', '_', worker_id)}.lock"
    while True:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(descriptor)
            return None
        # Between opening and locking, somebody who swept up may have taken the file away.
        if path.exists() and path.stat().st_ino == os.fstat(descriptor).st_ino:
            return descriptor
        os.close(descriptor)


def _folder() -> Path:
    folder = Path(settings.VAR) / "workers"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _lock_session(worker_id: str) -> Any:
    own_session = connections.create_connection("default")
    with own_session.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(hashtext('worker'), hashtext(%s))", [worker_id])
        (taken,) = cursor.fetchone()
    if taken:
        return own_session
    own_session.close()
    return None


__all__ = ["TRIES", "Alive", "give_back", "is_alive", "living", "reap"]
