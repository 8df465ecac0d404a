"""Waiting for what another process or thread does, and no longer than needed."""

from __future__ import annotations

import time
from collections.abc import Callable

SOON_S = 60.0


def comes(true: Callable[[], bool]) -> bool:
    """Whether something comes true before long."""
    until = time.monotonic() + SOON_S
    while time.monotonic() < until:
        if true():
            return True
        time.sleep(0.05)
    return False
