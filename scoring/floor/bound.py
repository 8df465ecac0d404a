"""A lower bound for stations anywhere, listed or not.

Stub of the first minute: one station at least.
"""

from __future__ import annotations

from collections.abc import Mapping

from scoring.floor.place import Place


def anywhere(place: Place, best_share: Mapping[str, float]) -> int:
    """A lower bound for every set of stations that meets the standard."""
    return 1
