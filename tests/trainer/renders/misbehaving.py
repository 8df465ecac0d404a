"""Tasks that do what a task must not, for a real worker to deal with."""

from __future__ import annotations

import os
import time

from django_tasks import task


@task()
def hang() -> None:
    """Never end."""
    while True:
        time.sleep(3600)


@task()
def eat() -> int:
    """Want more memory than a task may have."""
    return len(bytearray(1 << 40))


@task()
def die() -> None:
    """Take the whole process along, as a fault in compiled code does."""
    os.abort()


@task()
def behave(number: int) -> int:
    """Do as a task should."""
    return 2 * number


__all__ = ["behave", "die", "eat", "hang"]
