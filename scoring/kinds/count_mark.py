"""What a grade says about the number of stations, beside the reference and what is proven."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from scoring.drill import Mark
from scoring.floor.findings import Survey
from scoring.floor.plan import Station
from scoring.kinds.drawing import station_point
from scoring.kinds.footholds import Held
from scoring.kinds.words import counted, listed, start, stations


@dataclass(frozen=True, slots=True)
class Tally:
    """How many stations an answer has, beside the reference."""

    count: int
    upper: int
    """Of the reference."""
    lower: int
    """Proven for its named stands."""
    anywhere: int
    """Proven for stands anywhere."""
    sound: bool
    """Whether the answer meets the standard."""


def count_mark(
    placed: Tally, spare: Sequence[int], spare_at: Sequence[Station], tolerated_share: float, weight: float
) -> Mark:
    """Few enough costs nothing; beyond what is tolerated the credit falls to 0 over as many again as the reference."""
    tolerated = placed.upper + ceil(tolerated_share * placed.upper)
    excess = max(0, placed.count - tolerated)
    credit = max(0.0, 1.0 - excess / placed.upper)
    if not placed.sound:
        credit *= min(1.0, placed.count / placed.lower) if placed.lower > 0 else 1.0
    words, mend = _words(placed, spare)
    if excess > 0 and spare:
        mend = f"Take away {stations(spare)}."
    return Mark(
        criterion="count",
        title="Number of stations",
        credit=credit,
        weight=weight,
        value=float(placed.count),
        limit=float(placed.upper),
        unit="",
        words=words,
        mend=mend,
        shapes=tuple(station_point("spare", at, str(number)) for number, at in zip(spare, spare_at, strict=True)),
    )


def _words(placed: Tally, spare: Sequence[int]) -> tuple[str, str]:
    upper = counted(placed.upper, "station")
    placed_words = counted(placed.count, "station")
    if not placed.sound:
        if placed.count < placed.anywhere:
            needed = f"wherever they stand, {placed.anywhere} at least are needed"
            return f"{start(placed_words)} cannot show it all: {needed}.", ""
        return (
            f"{start(placed_words)} {'is' if placed.count == 1 else 'are'} placed; the reference uses {placed.upper}.",
            "",
        )
    if placed.count < placed.upper:
        return f"{start(placed_words)} meet the standard, fewer than the {placed.upper} of the reference.", ""
    if placed.count == placed.upper:
        proven = "no fewer of its stands would do" if placed.upper == placed.lower else "no fewer are known to do"
        return f"{start(placed_words)} meet the standard, as few as the reference; {proven}.", ""
    if not spare:
        return f"{start(placed_words)} meet the standard; {upper} would do, but none of these can simply go.", ""
    can = f"{stations(spare)} can go without loss"
    return f"{start(placed_words)} meet the standard; {can}.", ""


def gain_mark(found: Survey, held: Held) -> Mark | None:
    """What each station adds: the floor that only it shows; told, not weighed. None without stations."""
    if not held.stations:
        return None
    adds = [f"{number} adds {gain:.1f} m²" for number, gain in zip(held.numbers, found.gain_m2, strict=True)]
    shapes = tuple(
        station_point("near", at, f"+{gain:.1f} m²") for at, gain in zip(held.stations, found.gain_m2, strict=True)
    )
    words = f"Floor that no other station shows: {listed(adds)}."
    least = min(found.gain_m2)
    return Mark("gain", "What each station adds", 1.0, 0.0, least, None, "m²", words, "", shapes)


__all__ = ["Tally", "count_mark", "gain_mark"]
