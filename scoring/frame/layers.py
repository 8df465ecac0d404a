"""Layers: what each heading of a spin sees of one window of the frame, in radiance, side by side in one array.

::

       frame columns     0 ............................ W
       heading 0                 |========|                      each as wide as its sector with both feathers,
       heading 1                        |========|               less what the window leaves out
       heading 2    ====|                      |====  (one run, counted on beyond the rim)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.beams import TILE, render_rows
from scoring.frame.film import Strays
from scoring.frame.pose import Film
from scoring.frame.softness import CROWDED, blur_across, blur_down, crowding, margins_px, sigma_px
from scoring.frame.spin import Spin
from scoring.frame.stage import Stage
from scoring.frame.threads import BAND_ROWS, everything, in_bands

Rows = NDArray[Any]

SEAT_EDGE_DEG = 0.7
"""How soft the soft side of a lens is that is not home: rise of an edge."""
_NOT_SOFT: Rows = np.empty((1, 1, 3), np.float32)


@dataclass(frozen=True, slots=True)
class Window:
    """Part of a frame's grid [px]: left may lie anywhere, columns count round."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True, eq=False)
class Layers:
    """All layers; heading k's starts at column ``at[k]``, which is column ``first[k]`` of the frame, counted on."""

    rgb_cd_m2: Rows
    """(h, total, 3) float32."""
    soft_cd_m2: Rows
    """The same, blurred, where a lens has a soft side; else (1, 1, 3)."""
    faces: Rows
    ways_m: Rows
    at: Rows
    first: Rows
    wide: Rows
    top: int


def layers_of(
    stage: Stage, spin: Spin, masks: Sequence[tuple[int, ...]], strays: Sequence[Strays], width_px: int, window: Window
) -> Layers:
    """Trace and blur the layers of a window."""
    return softened(traced_layers(stage, spin, masks, strays, width_px, window), spin, strays, width_px)


def traced_layers(
    stage: Stage, spin: Spin, masks: Sequence[tuple[int, ...]], strays: Sequence[Strays], width_px: int, window: Window
) -> Layers:
    """The layers of a window before any blur, with the margins that their blur needs."""
    films = [heading.film for heading in spin.headings]
    soft = _seated_off(strays)
    margins = [_margins(film, soft, width_px) for film in films]
    rows = max(below for _, below in margins)
    high = width_px // 2
    top = max(0, window.top - rows) // TILE * TILE
    bottom = min(high, -(-(window.top + window.height + rows) // TILE) * TILE)
    spans = [_span(spin, k, width_px, window, margins[k][0]) for k in range(len(films))]
    first = np.array([a for a, _ in spans])
    wide = np.array([b - a for a, b in spans])
    at = np.concatenate([[0], np.cumsum(wide)[:-1]])
    shape = (bottom - top, max(int(wide.sum()), 1))
    # Dark where a row needs less of its margin than the rows near the poles: no blur reaches from there to the window.
    rgb = np.zeros((*shape, 3), np.float32)
    faces = np.empty(shape, np.int32)
    ways = np.empty(shape, np.float32)
    jobs: list[Callable[[], None]] = []
    for k, heading in enumerate(spin.headings):
        if wide[k] == 0 or not heading.taken:
            continue
        fixed = (
            stage.scene, stage.lit, stage.quads, heading.row(), np.array(masks[k], dtype=np.int64), width_px,
            int(first[k]), top, rgb, faces, ways, int(at[k]),
        )  # fmt: skip
        for start in range(0, shape[0], BAND_ROWS):
            end = min(start + BAND_ROWS, shape[0])
            crowded = crowding(top + start, top + end, width_px)
            spare = (margins[k][0] - _margins(films[k], soft, width_px, crowded)[0]) // TILE * TILE
            jobs.append(partial(render_rows, *fixed, spare, int(wide[k]) - spare, start, end))
    everything(jobs)
    return Layers(rgb, _NOT_SOFT, faces, ways, at, first, wide, top)


def softened(layers: Layers, spin: Spin, strays: Sequence[Strays], width_px: int) -> Layers:
    """Layers as the lens softens them: out of focus, smeared, or on the soft side of a lens that is not home."""
    kept = [k for k, heading in enumerate(spin.headings) if layers.wide[k] and heading.taken]
    films = [heading.film for heading in spin.headings]
    rgb, soft = layers.rgb_cd_m2, _NOT_SOFT
    blurred = [k for k in kept if films[k].focus_deg > 0.0 or films[k].smear_deg > 0.0]
    if not blurred and not _seated_off(strays):
        return layers
    room = np.empty((2, 3 * len(rgb) * int(layers.wide.max())), np.float32)
    if blurred:
        rgb = rgb.copy()
    for k in blurred:
        _blur(layers, k, rgb, films[k].focus_deg, films[k].smear_deg, width_px, room, rgb)
    if _seated_off(strays):
        soft = np.empty_like(rgb)
        for k in kept:
            _blur(layers, k, rgb, SEAT_EDGE_DEG, 0.0, width_px, room, soft)
    return replace(layers, rgb_cd_m2=rgb, soft_cd_m2=soft)


def _seated_off(strays: Sequence[Strays]) -> bool:
    return any(bool(stray.soft.any()) for stray in strays)


def _margins(film: Film, seated_off: bool, width_px: int, crowded: float = CROWDED) -> tuple[int, int]:
    """Columns and rows beyond a window that its blur reads, where columns crowd together so many times."""
    focus = sigma_px(film.focus_deg, width_px)
    across, down = margins_px(focus, film.smear_deg * width_px / 360.0, crowded)
    if seated_off:
        more = margins_px(sigma_px(SEAT_EDGE_DEG, width_px), 0.0, crowded)
        across, down = across + more[0], down + more[1]
    return across, down


def _span(spin: Spin, k: int, width_px: int, window: Window, margin: int) -> tuple[int, int]:
    """Columns of a heading's layer, counted round its own middle; (0, 0) when the window shows nothing of it."""
    middle = spin.headings[k].believed_deg / 360.0 * width_px + 0.5 * width_px
    reach = (spin.half_deg + spin.feather_deg) / 360.0 * width_px
    low, high = math.floor(middle - reach), math.ceil(middle + reach)
    ends: list[int] = []
    for turn in (-2, -1, 0, 1, 2):
        a, b = max(low, window.left + turn * width_px), min(high, window.left + turn * width_px + window.width)
        if a < b:
            ends += [a, b]
    if not ends:
        return 0, 0
    return (min(ends) - margin) // TILE * TILE, -(-(max(ends) + margin) // TILE) * TILE


def _blur(
    layers: Layers, k: int, source: Rows, focus_deg: float, smear_deg: float, width_px: int, room: Rows, out: Rows
) -> None:
    """Heading k's columns of ``source`` (h, total, 3), blurred, into those of ``out``, which may be the same; ``room``
    is to work in."""
    sigma, smear = sigma_px(focus_deg, width_px), smear_deg * width_px / 360.0
    at, wide, high = int(layers.at[k]), int(layers.wide[k]), len(source)
    # Rows without gaps: several numbers at a time are added then.
    own, across = room[:, : 3 * high * wide].reshape(2, high, 3 * wide)
    own.reshape(high, wide, 3)[:] = source[:, at : at + wide]
    in_bands(lambda a, b: blur_across(own, across, sigma, smear, width_px, layers.top, a, b), high)
    if sigma > 0.0:
        in_bands(lambda a, b: blur_down(across, own, sigma, a, b), high)
    else:
        own = across
    out[:, at : at + wide] = own.reshape(high, wide, 3)


__all__ = [
    "SEAT_EDGE_DEG", "Layers", "Window", "layers_of", "softened",
    "traced_layers",
]  # fmt: skip
