"""Frames: a 2048 x 1024 frame of six headings with any fault, beside one cv2.remap of its size; light; memory.

The peer is one bilinear remap of a three-channel float32 picture of that size, on one thread, in the same run.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np

from scoring.floor.plan import Station
from scoring.floor.read import read_kit, read_plan
from scoring.frame.faults import FAULTS
from scoring.frame.shoot import shoot
from scoring.frame.stage import Stage, stage, stage_key
from scoring.frame.take import Fault, Take

SCENARIOS = Path(__file__).parents[1] / "scenarios"
WIDTH = 2048
ROUNDS = 5
MANY, MANY_WIDTH = 1000, 512
SPOT = ("one-bedroom", 3.349, 2.154)


def rows() -> Iterator[tuple[str, str, str]]:
    """The peer, each fault, the light of each floor, and memory after a thousand frames."""
    _compile_elsewhere()
    peer_s = _median(_remap())
    yield f"cv2.remap, {WIDTH} x {WIDTH // 2} float32, linear, one thread", f"{1000 * peer_s:.0f} ms", "the peer"
    clean = _take()
    ready = stage(clean)
    shoot(ready, clean, WIDTH)
    times = {}
    for code, take in _every_take(clean):
        on = _stage_of(take, ready)
        shoot(on, take, WIDTH)
        times[code] = _median(lambda on=on, take=take: shoot(on, take, WIDTH))  # type: ignore[misc]
    worst = max(times, key=times.__getitem__)
    for name, code in (("nothing wrong", "N0"), (f"the slowest fault ({FAULTS[worst].title})", worst)):
        yield (
            f"frame {WIDTH} x {WIDTH // 2}, six headings, {name}, warm",
            f"{1000 * times[code]:.0f} ms, {times[code] / peer_s:.1f} times the peer",
            "must 500 ms and 40 times, reach 200 ms and 10 times",
        )
    middle = statistics.median(times.values())
    yield "the same, median of all faults", f"{1000 * middle:.0f} ms, {middle / peer_s:.1f} times the peer", "as above"
    for path in sorted((SCENARIOS / "floors").glob("*.json")):
        plan = read_plan(path.read_bytes())
        spaces = [space for space in plan.levels[0].spaces if not space.outdoor]
        x, y = np.mean(spaces[0].outline, axis=0)
        start = time.perf_counter()
        stage(replace(clean, plan=plan, station=Station(level=0, x=float(x), y=float(y))))
        yield f"light solved, {path.stem}", f"{time.perf_counter() - start:.1f} s", "once for a level and an hour"
    for index in range(MANY):
        shoot(ready, replace(clean, seed=index), MANY_WIDTH)
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (2**20 if sys.platform == "darwin" else 2**10)
    yield f"memory after {MANY} frames ({MANY_WIDTH} wide) and all of the above", f"{peak_mib:.0f} MiB", "must 600 MB"


def _compile_elsewhere() -> None:
    """Compile every kernel in another process, as setting up a site does: a compiler's memory is not a frame's."""
    other = get_context("spawn").Process(target=_shoot_every)
    other.start()
    other.join()
    if other.exitcode:
        raise RuntimeError(f"no frame of every fault could be made: {other.exitcode}")


def _shoot_every() -> None:
    clean = _take()
    ready = stage(clean)
    for _, take in _every_take(clean):
        shoot(_stage_of(take, ready), take, MANY_WIDTH)


def _stage_of(take: Take, ready: Stage) -> Stage:
    """The stage that is ready; one of its own for a take whose fault changes the scene or its light."""
    return ready if stage_key(take) == ready.key else stage(take)


def _every_take(clean: Take) -> Iterator[tuple[str, Take]]:
    """Nothing wrong, and each fault of the catalogue at its usual size."""
    yield "N0", clean
    for code in FAULTS:
        if code.startswith("F"):
            yield code, replace(clean, faults=(Fault(code, {}),))


def _take() -> Take:
    name, x, y = SPOT
    plan = read_plan((SCENARIOS / "floors" / f"{name}.json").read_bytes())
    kit = read_kit((SCENARIOS / "kits" / "bittern-six.json").read_bytes())
    return Take(plan=plan, kit=kit, station=Station(level=0, x=x, y=y), when_iso="2025-05-20T11:00", seed=7)


def _remap() -> Callable[[], object]:
    cv2.setNumThreads(1)
    dice = np.random.default_rng(1)
    picture = dice.random((WIDTH // 2, WIDTH, 3), dtype=np.float32)
    x = dice.uniform(0, WIDTH - 1, (WIDTH // 2, WIDTH)).astype(np.float32)
    y = dice.uniform(0, WIDTH // 2 - 1, (WIDTH // 2, WIDTH)).astype(np.float32)
    x.sort(axis=1)
    y.sort(axis=0)
    return lambda: cv2.remap(picture, x, y, cv2.INTER_LINEAR)


def _median(work: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


__all__ = ["rows"]
