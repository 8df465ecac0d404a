"""Stages kept ready: the latest few in memory, their light on disk, because light takes seconds and a spin does not.

take --stage_key--> memory --else--> scene (made) + light (kept by light_key, else solved) --> stage
"""

from __future__ import annotations

import io
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Any

import numpy as np

from scoring import ENGINE_VERSION
from scoring.drill import content_hash
from scoring.frame.scene import Lit
from scoring.frame.stage import Stage, light_key, stage, stage_key
from scoring.frame.take import Take
from trainer.renders.frames import cabinet

IN_MEMORY = 6
"""Stages; about ten megabytes each."""

_kept: OrderedDict[str, Stage] = OrderedDict()
_guard = Lock()


def stage_of(take: Take) -> Stage:
    """The stage of a take. Raises what making it raises."""
    key = stage_key(take)
    with _guard:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    made = stage(take, kept_light(take))
    with _guard:
        _kept[key] = made
        while len(_kept) > IN_MEMORY:
            _kept.popitem(last=False)
    return made


def kept_light(take: Take) -> Callable[[Callable[[], Lit]], Lit]:
    """What keeps the light of a take's scene on disk: gives what was solved before, or solves it now."""
    address = content_hash([light_key(take), "light", ENGINE_VERSION])

    def kept(solve: Callable[[], Lit]) -> Lit:
        stored = cabinet().read(address)
        if stored is not None:
            return _from_bytes(stored)
        lit = solve()
        cabinet().keep(address, _to_bytes(lit))
        return lit

    return kept


def _to_bytes(lit: Lit) -> bytes:
    out = io.BytesIO()
    np.savez(out, **lit._asdict())
    return out.getvalue()


def _from_bytes(stored: bytes) -> Lit:
    with np.load(io.BytesIO(stored), allow_pickle=False) as arrays:
        found: dict[str, Any] = {name: arrays[name] for name in Lit._fields}
    found["cloud"] = float(found["cloud"])
    return Lit(**found)


__all__ = ["kept_light", "stage_of"]
