"""Light that was solved before: the last few in memory, or wherever the caller keeps it; the same light either way.

Solving light is heavy and pure: whoever makes many cases may hand in a store of their own (on disk, say).
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Lock

from scoring.frame.scene import Lit
from scoring.frame.stage import light_key
from scoring.frame.take import Take

Solve = Callable[[], Lit]
Store = Callable[[Take], Callable[[Solve], Lit]]
"""For a take: what takes the solving of its light, and gives the light, solved now or before."""

IN_MEMORY = 6

_memory: OrderedDict[str, Lit] = OrderedDict()
_guard = Lock()


def _remembered(take: Take) -> Callable[[Solve], Lit]:
    key = light_key(take)

    def kept(solve: Solve) -> Lit:
        with _guard:
            if key in _memory:
                _memory.move_to_end(key)
                return _memory[key]
        lit = solve()
        with _guard:
            _memory[key] = lit
            while len(_memory) > IN_MEMORY:
                _memory.popitem(last=False)
        return lit

    return kept


_store: ContextVar[Store] = ContextVar("light store", default=_remembered)


def kept_light(take: Take) -> Callable[[Solve], Lit]:
    """What the store in use keeps for a take."""
    return _store.get()(take)


@contextmanager
def lights_kept_in(store: Store) -> Iterator[None]:
    """Use another store inside the block."""
    token = _store.set(store)
    try:
        yield
    finally:
        _store.reset(token)


__all__ = ["IN_MEMORY", "Solve", "Store", "kept_light", "lights_kept_in"]
