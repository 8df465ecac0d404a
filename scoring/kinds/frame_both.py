"""Two things wrong in one frame, each of which would deserve a redo alone: the cases for those who are sure of one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from scoring.drill import Unfit
from scoring.floor.place import Place
from scoring.frame.severity import judge
from scoring.kinds.causes import family
from scoring.kinds.frame_case import SHOWS_AS, STAGED, Seen, look, look_again, own_part, where_shown
from scoring.kinds.frame_key import Known


@dataclass(frozen=True, slots=True)
class Both:
    """A frame with two faults."""

    seen: Seen
    """What it knows and what it deserves is told of the first."""
    second: Known


def look_both(place: Place, rng: Random, code: str, others: Sequence[str], *, spaces: Sequence[str] = ()) -> Both:
    """A fair frame with that fault and with another one, of another family and with other traces.

    Raises Unfit when nothing goes beside the first, or when it no longer deserves a redo by itself.
    """
    first = look(place, rng, code, spaces=spaces)
    apart = [one for one in others if goes_beside(one, code)]
    why = f"nothing goes beside {code}"
    for other in rng.sample(apart, len(apart)):
        try:
            seen = look_again(first, place, rng, other)
        except Unfit as unfit:
            why = str(unfit)
            continue
        known = replace(first.known, numbers=own_part(seen.measured.numbers, code))
        severity = judge(known.numbers, place.standard.frames)
        if severity.verdict == "redo":
            there = where_shown(seen.measured, severity, place.standard.frames)
            known = replace(known, seams=seen.known.seams, **there)
            return Both(replace(seen, known=known, severity=severity), seen.known)
        why = f"{code} beside {other}: {severity.worst.value:.3g} of {severity.worst.quantity} deserves no redo"
    raise Unfit(why)


def goes_beside(code: str, other: str) -> bool:
    """Whether two faults can be told apart in one frame; what changes the scene itself is never put in second."""
    if code in STAGED or not {code, other} <= set(SHOWS_AS):
        return False
    return family(code) != family(other) and not SHOWS_AS[code] & SHOWS_AS[other]


__all__ = ["Both", "goes_beside", "look_both"]
