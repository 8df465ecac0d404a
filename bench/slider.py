"""Turning a slider of the bench: how soon the small frame of a value that nobody has seen comes, the light being known,
and once it rests the number of its curve and all other numbers.

The peer is the same picture asked for once more, which is kept. Faults that move somebody through the room or the sun
over the sky change the scene or its light with every value: each has a row of its own.
"""

from __future__ import annotations

import http.client
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from bench.lookers import look
from bench.site import prepare, served, spread

VALUES = 40
RESTS = 10
"""Values at which the slider rests."""
STAGED = {"F16": "away_m", "F18": "sun_deg", "F19": "height_m"}
"""Faults whose values each need a scene or a light of their own, with the number that is turned."""
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
            heres, wholes = zip(*_rested(port, visit["session"], setup), strict=True)
            staged = {code: _turned(port, visit["session"], code, name) for code, name in STAGED.items()}
    ratio = statistics.median(first) / statistics.median(again)
    yield f"small frame of a slider, {SMALL} wide, {VALUES} values in turn", spread(first), "must 300 ms"
    yield "the same, asked for again", spread(again), f"the peer; a new one takes {ratio:.0f} times as long"
    yield "the number of its curve, where it rests", spread(heres), "300 ms"
    yield "all numbers, where it rests", spread(wholes), "300 ms"
    for code, times in staged.items():
        yield f"small frame of a slider of {code}, {len(times)} values in turn", spread(times), "300 ms"


def _rested(port: int, session: str, setup: Any) -> list[tuple[float, float]]:
    """Times of the number of the curve and of all numbers where the slider rests, its small frame being drawn."""
    times = []
    for number in range(RESTS + 1):
        here = setup.turned("offset_mm", 5.2 + 0.9 * number)
        _time(port, session, f"/bench/{here.packed()}/frame/{SMALL}.jpg")
        times.append((_time(port, session, _asked("curve", here)), _time(port, session, _asked("numbers", here))))
    return times[1:]


def _asked(piece: str, setup: Any) -> str:
    return f"/bench/{piece}/?{urlencode(setup.fields())}"


def _turned(port: int, session: str, code: str, name: str) -> list[float]:
    """Times of small frames along one number of a fault, once its scene is there."""
    from trainer.renders.setups import setup_of

    setup = setup_of({"floor": "one-bedroom", "kit": "plover-four", "fault": code})
    low, high = next((one.low, one.high) for one in setup.form.parameters if one.name == name)
    values = [low + (high - low) * (k + 0.5) / (RESTS + 1) for k in range(RESTS + 1)]
    where = [f"/bench/{setup.turned(name, value).packed()}/frame/{SMALL}.jpg" for value in values]
    return [_time(port, session, one) for one in where][1:]


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
