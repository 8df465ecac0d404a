"""What the web process does when it starts: load the compiled kernels, so that the first grade is not a slow one, have
pictures made by a process of their own, and keep what is loaded out of the collector's way."""

from __future__ import annotations

import gc
from typing import Any


def post_worker_init(worker: Any) -> None:
    """Called by gunicorn when a worker process is ready to serve."""
    from trainer.renders.apart import YOUNG, Apart
    from trainer.renders.darkroom import DARKROOM
    from trainer.renders.kernels import warm, warm_frames_beside

    DARKROOM.make_with(Apart())
    warm()
    warm_frames_beside()
    gc.collect()
    gc.freeze()
    gc.set_threshold(*YOUNG)
