"""How many of the frames that are asked about are good: as many of the cases made as are drawn.

Frames with a fault and good ones are unfit by different odds: what one deserves is unclear, or its cause does not tell.
If each unfit seed made way for the next draw, the share of good ones among the cases made would drift from what a
recipe says. So whether there is a fault is drawn once for each seed, and the seed is tried with other faults, stations
and hours until a case comes out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from random import Random
from typing import TypeVar

from scoring.drill import Kind, Unfit

Made = TypeVar("Made")

TRIES = 16
"""After so many a seed is unfit."""


def tries_of(of: Kind) -> int:
    """How many tries an unfit seed of a kind stands for: 1 where a recipe sets no share of good frames."""
    settings = getattr(of, "Settings", None)
    return TRIES if settings is not None and any(field.name == "good" for field in fields(settings)) else 1


def chosen_code(rng: Random, faults: Sequence[str], good: float) -> str:
    """A fault's code, or with probability ``good`` N0 or N1."""
    if rng.random() < good:
        return rng.choice(("N0", "N1"))
    return rng.choice(list(faults))


def until_fair(name: str, faults: Sequence[str], good: float, made: Callable[[Random, str], Made]) -> Made:
    """What ``made`` makes of a stream of that name and a code, tried again with the same draw of good or faulty.

    Raises Unfit with what went wrong last.
    """
    why = ""
    for number in range(TRIES):
        rng = Random(f"{name}/{number}" if number else name)  # noqa: S311 (no secret)
        code = chosen_code(rng, faults, good)
        good = 0.0 if code.startswith("F") else 1.0
        try:
            return made(rng, code)
        except Unfit as unfit:
            why = str(unfit)
    raise Unfit(why)


__all__ = ["TRIES", "chosen_code", "tries_of", "until_fair"]
