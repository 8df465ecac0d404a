"""Exposing a picture: the one place where the site asks the engine for the pixels of a take."""

from __future__ import annotations

from scoring.drill import Json
from scoring.frame.encode import encode_frame, encode_picture
from scoring.frame.picture import heading_picture
from scoring.frame.shoot import shoot
from scoring.frame.take import read_take
from trainer.renders.stages import stage_of


def expose(take: Json, heading: int | None, width_px: int, window: tuple[int, int, int, int] | None) -> bytes:
    """The file of a take's frame at that width, of a window of it (left, top, width, height), or of one of its
    headings (from 1)."""
    value = read_take(take)
    stage = stage_of(value)
    if heading is not None:
        return encode_picture(heading_picture(stage, value, heading - 1, width_px))
    if window is None:
        return encode_frame(shoot(stage, value, width_px).rgb)
    return encode_frame(shoot(stage, value, width_px, window).rgb, width_px, window[0], window[1])


__all__ = ["expose"]
