"""Measuring a take's frame: the one place where the site asks the engine for numbers.

somebody turns --small_frame--> rests --number_here--> the number of the curve --measured_on--> all numbers
                    └───────────────────────┴── kept for the next ──────────────────┘
"""

from __future__ import annotations

from scoring.drill import Json, content_hash
from scoring.frame.latest import Latest
from scoring.frame.look import look
from scoring.frame.measure import Measured, measure_one, measured_of
from scoring.frame.measure_parts import NUMBERS, Parts
from scoring.frame.take import read_take
from scoring.standard import Looking
from trainer.renders.exposing import small_frame
from trainer.renders.stages import stage_of

WIDTH_PX = 1024
"""Of the frame that is measured."""

_here: Latest[Parts] = Latest()
"""Of what somebody rests on, until all its numbers are told; where two rest in turns, each is looked at again."""


def measured_on(take: Json) -> Measured:
    """Everything that is measured on the frame of a take."""
    parts = _here.of(content_hash(take), lambda: _parts_of(take))
    _here.let_go()
    return measured_of(parts)


def number_here(take: Json, quantity: str) -> float | None:
    """One of these numbers, where the others are asked for next."""
    parts = _here.of(content_hash(take), lambda: _parts_of(take))
    parts.look_whole()
    return NUMBERS[quantity](parts)


def number_on(take: Json, quantity: str) -> float | None:
    """One of these numbers alone."""
    value = read_take(take)
    return measure_one(stage_of(value), value, quantity, width_px=WIDTH_PX)


def _parts_of(take: Json) -> Parts:
    value = read_take(take)
    return Parts(look(stage_of(value), value, WIDTH_PX, lambda: small_frame(take)), Looking())


__all__ = ["measured_on", "number_here", "number_on"]
