"""Turning a slider of the bench: how soon the small frame of a value that nobody has seen comes, the light being known.

The peer is the same picture asked for once more, which is kept.
"""

from __future__ import annotations

import http.client
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bench.lookers import look
from bench.site import prepare, served, spread

VALUES = 40
SMALL = 512
"""Pixels across while a slider moves, as static/frame/bench.js asks."""


def rows() -> Iterator[tuple[str, str, str]]:
    """The reply for a new value, and for one that was there."""
    with tempfile.TemporaryDirectory() as folder:
        visit = prepare(Path(folder))[0]
        from trainer.renders.setups import setup_of

        setup = setup_of({"floor": "one-bedroom", "kit": "plover-four", "fault": "F1"})
        values = [5.0 + 0.5 * number for number in range(1, VALUES + 1)]
        where = [f"/bench/{setup.turned('offset_mm', value).packed()}/frame/{SMALL}.jpg" for value in values]
        with served(Path(folder)) as port:
            # The light of the room is solved, and what draws is loaded.
            look(port, visit, 0, [], str(SMALL))
            first = [_time(port, visit["session"], one) for one in where]
            again = [_time(port, visit["session"], one) for one in where]
    ratio = statistics.median(first) / statistics.median(again)
    yield f"small frame of a slider, {SMALL} wide, {VALUES} values in turn", spread(first), "must 300 ms"
    yield "the same, asked for again", spread(again), f"the peer; a new one takes {ratio:.0f} times as long"


def _time(port: int, session: str, path: str) -> float:
    begun = time.perf_counter()
    while (status := _status(port, session, path)) == 202:
        pass
    if status != 200:
        raise RuntimeError(f"{path}: {status}")
    return time.perf_counter() - begun


def _status(port: int, session: str, path: str) -> int:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    line.request("GET", path, headers={"Cookie": f"sessionid={session}"})
    reply = line.getresponse()
    reply.read()
    line.close()
    return reply.status


__all__ = ["rows"]
