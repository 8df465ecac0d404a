"""What the web process does when it starts: load the compiled kernels, so that the first grade is not a slow one."""

from __future__ import annotations

from typing import Any


def post_worker_init(worker: Any) -> None:
    """Called by gunicorn when a worker process is ready to serve."""
    from trainer.renders.kernels import warm, warm_frames_beside

    warm()
    warm_frames_beside()
