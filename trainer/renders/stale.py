"""Compiled kernels on disk that are out of date.

A compiled kernel has those that it calls woven in, but its compiler compares it with the date of its own source alone:
after a change of what is called, the old arithmetic would go on.
"""

from __future__ import annotations

from pathlib import Path

import scoring

KERNEL_MARKS = ("@njit", "@kernel", "@woven")


def drop_stale(folder: Path = Path(scoring.__file__).parent) -> int:
    """Delete the compiled kernels below a folder that are older than any kernel's source there; how many."""
    sources = [path for path in folder.rglob("*.py") if any(mark in path.read_text("utf-8") for mark in KERNEL_MARKS)]
    newest = max((path.stat().st_mtime_ns for path in sources), default=0)
    stale = [path for path in folder.rglob("__pycache__/*.nb?") if path.stat().st_mtime_ns < newest]
    for path in stale:
        path.unlink(missing_ok=True)
    return len(stale)


__all__ = ["drop_stale"]
