"""How the kernels of frames are compiled.

A scene and its light are tuples of some thirty arrays. Handed from function to function, each array would be counted
in and out at every call, atomically, which costs ten times what tracing and shading a ray does. ``kernel`` compiles
without those counts: allowed in functions that make no array, and in no others.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from numba import njit

F = TypeVar("F", bound=Callable[..., object])


def kernel(function: F) -> F:
    """Compile a function that makes no array: kept on disk, no lock held, nothing counted."""
    return cast(F, njit(nogil=True, cache=True, _nrt=False)(function))  # type: ignore[call-overload]


def woven(function: F) -> F:
    """A ``kernel`` that is woven into its callers, so that no tuple of arrays is handed over at all."""
    return cast(F, njit(nogil=True, cache=True, _nrt=False, forceinline=True)(function))  # type: ignore[call-overload]


__all__ = ["kernel", "woven"]
