"""Overlays of regions that can be trusted: made fast, checked by areas, and made again when they are wrong.

Views and floors share walls that rounding leaves a hair apart. About once in seven thousand overlays the fast
method then counts a face wrongly without a word. What two regions share and what one has alone must add up to
that one; where they do not, the overlay is made again on a fine grid, which is slow and always sound. Where a
wrong face could hide from such a sum, one of its two terms comes from the grid in the first place.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.errors import GEOSException
from shapely.geometry import MultiPolygon, Polygon

GRID_M = 1e-9
"""Grid of an overlay made again [m]."""

ADD_UP = 1e-10
"""By how much areas may fail to add up, of the whole."""

GRID_ADDS_UP = 1e-8
"""The same where one of the areas was made on the grid."""

NOTHING: Any = Polygon()
"""The empty region."""

HAIR_M = 1e-6
"""Pieces thinner than twice this are rounding."""


class Alone:
    """Held by whoever works on regions: threads share those of a place, and GEOS fills in parts of a region when it is
    first read, which two threads at once do not survive. Within, numpy says no word of the processor's flags."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._depth = 0
        self._words: Any = None

    def __enter__(self) -> None:
        self._lock.acquire()
        if not self._depth:
            self._words = np.errstate(all="ignore")
            self._words.__enter__()
        self._depth += 1

    def __exit__(self, *what: object) -> None:
        self._depth -= 1
        if not self._depth:
            self._words.__exit__(*what)
        self._lock.release()


ALONE = Alone()

P = ParamSpec("P")
R = TypeVar("R")


def quiet(work: Callable[P, R]) -> Callable[P, R]:
    """For functions that call GEOS: one thread at a time, and no word of the processor's flags that it raises on
    hairs which it handles well."""

    @wraps(work)
    def alone(*args: P.args, **kwargs: P.kwargs) -> R:
        with ALONE:
            return work(*args, **kwargs)

    return alone


@quiet
def meet(a: Any, b: Any) -> Any:
    """What two regions share; shared edges and points are left out."""
    try:
        both, rest = areal(shapely.intersection(a, b)), shapely.difference(a, b)
        if abs(both.area + rest.area - a.area) <= ADD_UP * (1.0 + a.area):
            return both
    except GEOSException:
        pass
    return on_grid(shapely.intersection, a, b)


@quiet
def less(a: Any, b: Any) -> Any:
    """The first region without the second."""
    try:
        both, rest = shapely.intersection(a, b), areal(shapely.difference(a, b))
        if abs(both.area + rest.area - a.area) <= ADD_UP * (1.0 + a.area):
            return rest
    except GEOSException:
        pass
    return on_grid(shapely.difference, a, b)


@quiet
def meet_and_join(a: Any, b: Any) -> tuple[Any, Any]:
    """What two regions share, and their union."""
    both = on_grid(shapely.intersection, a, b)
    try:
        whole = areal(shapely.union(a, b))
        if abs(both.area + whole.area - a.area - b.area) <= GRID_ADDS_UP * (1.0 + a.area + b.area):
            return both, whole
    except GEOSException:
        pass
    return both, on_grid(shapely.union, a, b)


@quiet
def join(parts: Sequence[Any] | NDArray[Any]) -> Any:
    """The union of regions."""
    if len(parts) == 0:
        return NOTHING
    if len(parts) == 1:
        return parts[0]
    if len(parts) == 2:
        return meet_and_join(parts[0], parts[1])[1]
    try:
        return areal(shapely.union_all(parts, grid_size=GRID_M))
    except GEOSException:
        return areal(shapely.union_all([_sound(part) for part in parts], grid_size=GRID_M))


@quiet
def join_apart(parts: Sequence[Any] | NDArray[Any]) -> Any:
    """The union of regions that share no edges, made fast."""
    if len(parts) == 1:
        return parts[0]
    try:
        whole = areal(shapely.union_all(parts))
        areas = shapely.area(parts)
        if areas.max() - ADD_UP <= whole.area * (1.0 + ADD_UP) and whole.area <= areas.sum() * (1.0 + ADD_UP) + ADD_UP:
            return whole
    except GEOSException:
        pass
    return join(parts)


def on_grid(overlay: Callable[..., Any], a: Any, b: Any) -> Any:
    """An overlay made on the fine grid."""
    try:
        return areal(overlay(a, b, grid_size=GRID_M))
    except GEOSException:
        return areal(overlay(_sound(a), _sound(b), grid_size=GRID_M))


def areal(region: Any) -> Any:
    """The polygons of a region, without stray lines and points."""
    if region.geom_type in ("Polygon", "MultiPolygon"):
        return region
    parts = shapely.get_parts(shapely.get_parts(region))
    return MultiPolygon([part for part in parts if part.geom_type == "Polygon"])


@quiet
def without_hairs(region: Any) -> Any:
    """The region without spikes and slivers too thin to be anything but rounding."""
    shrunk = shapely.buffer(region, -HAIR_M, join_style="mitre", mitre_limit=10.0)
    return areal(shapely.buffer(shrunk, HAIR_M, join_style="mitre", mitre_limit=10.0))


def _sound(region: Any) -> Any:
    return areal(shapely.make_valid(region))


__all__ = [
    "ADD_UP",
    "ALONE",
    "GRID_ADDS_UP",
    "GRID_M",
    "NOTHING",
    "areal",
    "join",
    "join_apart",
    "less",
    "meet",
    "meet_and_join",
    "on_grid",
    "quiet",
    "without_hairs",
]
