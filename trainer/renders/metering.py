"""Measuring a take's frame: the one place where the site asks the engine for numbers."""

from __future__ import annotations

from scoring.drill import Json
from scoring.frame.measure import Measured, measure, measure_one
from scoring.frame.take import read_take
from trainer.renders.stages import stage_of

WIDTH_PX = 1024
"""Of the frame that is measured."""


def measured_on(take: Json) -> Measured:
    """Everything that is measured on the frame of a take."""
    value = read_take(take)
    return measure(stage_of(value), value, width_px=WIDTH_PX)


def number_on(take: Json, quantity: str) -> float | None:
    """One of these numbers alone."""
    value = read_take(take)
    return measure_one(stage_of(value), value, quantity, width_px=WIDTH_PX)


__all__ = ["measured_on", "number_on"]
