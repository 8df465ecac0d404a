"""Keeping the last of a kind of thing that is heavy to make, where the next one asked for is often the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

T = TypeVar("T")


class Latest(Generic[T]):
    """One thing, kept until another is asked for, and let go before that is made: there is room for one."""

    def __init__(self) -> None:
        self._held: dict[str, T] = {}

    def of(self, key: str, make: Callable[[], T]) -> T:
        """What ``make`` gives; ``key`` stands for all that it is made of."""
        if key in (held := self._held):
            return held[key]
        self._held = {}
        del held
        made = make()
        self._held = {key: made}
        return made

    def let_go(self) -> None:
        """Keep nothing any more."""
        self._held = {}


__all__ = ["Latest"]
