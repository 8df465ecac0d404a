"""What the web process does when it starts: load the compiled kernels, so that the first grade is not a slow one, and
keep what is loaded out of the collector's way."""

from __future__ import annotations

import gc
import sys
from typing import Any

YOUNG = (50_000, 20, 50)
"""Objects that are made before the youngest are looked through, and how seldom the older ones are: the board of
thousands makes a hundred thousand a page, and looking through all that lives took a quarter of a second at times."""

SWITCH_S = 0.0005
"""How long a thread goes on while another waits for its turn at Python. A grade asks for its turn hundreds of times,
after every word of the database; the usual 5 ms, spent by the darkroom each time, would add up to half a second."""


def post_worker_init(worker: Any) -> None:
    """Called by gunicorn when a worker process is ready to serve."""
    from trainer.renders.kernels import warm, warm_frames_beside

    sys.setswitchinterval(SWITCH_S)
    warm()
    warm_frames_beside()
    gc.collect()
    gc.freeze()
    gc.set_threshold(*YOUNG)
