"""Twenty people ask for a new frame each, at once, while thirty answer: does grading wait for pictures?

Every looker turns a fault of the bench to a value of their own, so that no picture is there yet, and asks until it is.
"""

from __future__ import annotations

import http.client
import re
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench.site import PEOPLE, at_once, prepare, served, spread

LOOKERS = 20
PATIENCE_S = 300.0
AGAIN_S = 1.0


def rows() -> Iterator[tuple[str, str, str]]:
    """An answer's reply alone and beside the lookers, and how long a picture took."""
    with tempfile.TemporaryDirectory() as folder:
        visits = prepare(Path(folder))
        half = [{**visit, "attempts": visit["attempts"][:1]} for visit in visits]
        rest = [{**visit, "attempts": visit["attempts"][1:]} for visit in visits]
        with served(Path(folder)) as port:
            look(port, visits[0], 0, [], "1024")  # the light of the room is solved once, before
            alone = at_once(port, half)["answer"]
            waits: list[float] = []
            lookers = [
                threading.Thread(target=look, args=(port, visits[n], n + 1, waits, "2048")) for n in range(LOOKERS)
            ]
            for thread in lookers:
                thread.start()
            beside = at_once(port, rest)["answer"]
            for thread in lookers:
                thread.join()
    ratio = statistics.median(beside) / statistics.median(alone)
    yield f"grade POST, {PEOPLE} busy people, nobody looking", spread(alone), "the peer"
    yield (
        f"the same while {LOOKERS} people ask for new frames",
        spread(beside),
        f"{ratio:.1f} times the peer; must 400 ms at p95",
    )
    yield f"new frame 2048 wide, {len(waits)} of {LOOKERS} people at once", spread(waits), "one at a time, in turn"


def look(port: int, visit: dict[str, Any], number: int, waits: list[float], width: str) -> None:
    """Ask for one person's own frame until it comes; how long that took goes into ``waits`` [s]."""
    headers = {"Cookie": f"sessionid={visit['session']}"}

    def ask(path: str) -> tuple[int, bytes]:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        line.request("GET", path, headers=headers)
        reply = line.getresponse()
        body = reply.read()
        line.close()
        return reply.status, body

    begun = time.perf_counter()
    status, page = ask(f"/bench/?floor=one-bedroom&kit=plover-four&fault=F1&offset_mm={5 + 0.7 * number:.1f}")
    found = re.search(rb'data-address="([^"]+)"', page)
    if status != 200 or found is None:
        raise RuntimeError(f"bench: {status} {page[:200]!r}")
    while time.perf_counter() - begun < PATIENCE_S:
        status, _ = ask(f"{found[1].decode().replace('&amp;', '&')}{width}.jpg")
        if status == 200:
            waits.append(time.perf_counter() - begun)
            return
        time.sleep(AGAIN_S)
    raise RuntimeError(f"no picture within {PATIENCE_S:.0f} s: {status}")


__all__ = ["rows"]
