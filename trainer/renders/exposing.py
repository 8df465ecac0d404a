"""Exposing a picture: the one place where the site asks the engine for the pixels of a take."""

from __future__ import annotations

from scoring.drill import Json, content_hash
from scoring.frame.encode import encode_frame, encode_picture
from scoring.frame.latest import Latest
from scoring.frame.look import FRAME_WIDTH_PX
from scoring.frame.picture import heading_picture
from scoring.frame.shoot import Frame, shoot
from scoring.frame.take import read_take
from trainer.renders.stages import stage_of

_small: Latest[Frame] = Latest()


def small_frame(take: Json) -> Frame:
    """The frame of a take at the width that turns under a finger, kept while it is the last: what is measured on it is
    asked for next."""
    value = read_take(take)
    return _small.of(content_hash(take), lambda: shoot(stage_of(value), value, FRAME_WIDTH_PX))


def expose(take: Json, heading: int | None, width_px: int, window: tuple[int, int, int, int] | None) -> bytes:
    """The file of a take's frame at that width, of a window of it (left, top, width, height), or of one of its
    headings (from 1)."""
    value = read_take(take)
    stage = stage_of(value)
    if heading is not None:
        return encode_picture(heading_picture(stage, value, heading - 1, width_px))
    if window is None and width_px == FRAME_WIDTH_PX:
        return encode_frame(small_frame(take).rgb)
    if window is None:
        return encode_frame(shoot(stage, value, width_px).rgb)
    return encode_frame(shoot(stage, value, width_px, window).rgb, width_px, window[0], window[1])


__all__ = ["expose", "small_frame"]
