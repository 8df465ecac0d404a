"""Shooting: a stage and a take become the frame, whole or any window of it, or one raw heading.

::

    stage + take --spin_of--> headings --layers_of--> radiance by heading --merge_rows--> frame
                                 └──────strays_of──▶ lens ──────────────────┘

The frame is equirectangular, twice as wide as high: pixel (c, r) looks to lon = (c + 1/2) / W 360 - 180 and
lat = 90 - (r + 1/2) / H 180 degrees. The middle is the direction of heading 1; lon grows to the right.

A lens whose field ends short of the zenith is taken to see on by its own projection: no frame has a hole there. At the
nadir a plain disc covers the tripod, as in any frame that is handed over; raw headings have none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.film import strays_of
from scoring.frame.layers import Layers, Window, layers_of
from scoring.frame.merge import merge_rows
from scoring.frame.movers import exposure_masks
from scoring.frame.sensor import gains_of, sensor_of
from scoring.frame.spin import Spin, seam_weights, spin_of
from scoring.frame.stage import Stage
from scoring.frame.take import Take
from scoring.frame.threads import in_bands

Rows = NDArray[Any]

WIDTH_STEP_PX = 32
"""A frame's width is a multiple of this."""
WIDEST_PX = 16384
COVER_BEYOND = 1.12
"""The disc at the nadir is this much wider than the circle of the tripod's feet."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A merged frame, or a window of one: arrays (h, w, ...)."""

    rgb: NDArray[np.uint8]
    """As it is written to the file, sRGB."""
    linear_cd_m2: NDArray[np.float32]
    """As it was recorded, before noise and clipping: after lens, exposure and colour setting."""
    faces: NDArray[np.int32]
    """The face of the scene that is seen, by the heading with the larger share: -1 sky, -3 nothing taken."""
    distances_m: NDArray[np.float32]
    """Length of the way to it, through mirrors to the end; inf for sky."""
    headings: NDArray[np.int8]
    """Which heading has the larger share."""
    weights: NDArray[np.float32]
    """Its share; the rest is its neighbour's."""


def shoot(stage: Stage, take: Take, width_px: int, window: tuple[int, int, int, int] | None = None) -> Frame:
    """The frame of a take on its stage, ``width_px`` wide.

    ``window`` is (left, top, width, height) in pixels of that frame, its columns counted round; a window is equal to
    the same part of the whole frame. ValueError for a size or window that is none.
    """
    check_width(width_px)
    cut = Window(*(window or (0, 0, width_px, width_px // 2)))
    if not (0 < cut.width <= width_px and cut.top >= 0 and cut.height > 0 and cut.top + cut.height <= width_px // 2):
        raise ValueError(f"the window {window} does not lie in a frame of {width_px} x {width_px // 2} pixels")
    spin = spin_of(take, stage.lens_point_m)
    strays = strays_of(stage, spin)
    masks = [exposure_masks(take, heading.source) for heading in spin.headings]
    layers = layers_of(stage, spin, masks, strays, width_px, cut)
    sensor = sensor_of(stage, take, width_px)
    heads, columns, shares, offs = _columns(spin, layers, width_px, cut)
    glass = np.stack([stray.glass for stray in strays])
    even = np.array([s.even for s in strays])
    taken = np.array([heading.taken for heading in spin.headings])
    gains = np.stack([gains_of(stage, heading.film) for heading in spin.headings])
    shape = (cut.height, cut.width)
    frame = Frame(
        np.empty((*shape, 3), np.uint8), np.empty((*shape, 3), np.float32), np.empty(shape, np.int32),
        np.empty(shape, np.float32), np.empty(shape, np.int8), np.empty(shape, np.float32),
    )  # fmt: skip
    fixed = (
        layers.rgb_cd_m2, layers.soft_cd_m2, layers.faces, layers.ways_m, layers.top, heads, columns, shares, offs,
        taken, glass, even, gains, sensor.shown, sensor.noise_cd_m2, sensor.code, sensor.colourful,
        cover_rad(take), take.seed % 2**62, width_px, cut.left, cut.top,
    )  # fmt: skip
    out = (frame.rgb, frame.linear_cd_m2, frame.faces, frame.distances_m, frame.headings, frame.weights)
    in_bands(lambda a, b: merge_rows(*fixed, a, b, *out), cut.height)
    return frame


def check_width(width_px: int) -> None:
    """ValueError for a width that no frame has, in words."""
    if not (WIDTH_STEP_PX <= width_px <= WIDEST_PX and width_px % WIDTH_STEP_PX == 0):
        raise ValueError(f"a frame is {WIDTH_STEP_PX} to {WIDEST_PX} pixels wide, in steps of {WIDTH_STEP_PX}")


def cover_rad(take: Take) -> float:
    """Angle from the nadir [rad] that the disc over the tripod covers."""
    return math.atan(COVER_BEYOND * take.kit.leg_radius_m / take.kit.lens_height_m)


def _columns(spin: Spin, layers: Layers, width_px: int, cut: Window) -> tuple[Rows, Rows, Rows, Rows]:
    """Of each column of a window: its two headings at most, their layer columns, shares, azimuths off their middles."""
    heads = np.full((cut.width, 2), -1, np.int64)
    columns = np.zeros((cut.width, 2), np.int64)
    shares, offs = np.zeros((cut.width, 2)), np.zeros((cut.width, 2))
    half, feather = math.radians(spin.half_deg), math.radians(spin.feather_deg)
    found = np.zeros(cut.width, np.int64)
    c = cut.left + np.arange(cut.width)
    for k, heading in enumerate(spin.headings):
        middle = heading.believed_deg / 360.0 * width_px + 0.5 * width_px
        own = c - width_px * np.floor((c + 0.5 - middle) / width_px + 0.5).astype(np.int64)
        off = (own + 0.5 - middle) / width_px * 2.0 * math.pi
        share = seam_weights(off, half, feather)
        at = np.flatnonzero((share > 0.0) & (found < 2))
        to = at, found[at]
        heads[to], shares[to], offs[to] = k, share[at], off[at]
        columns[to] = np.clip(own[at] - layers.first[k], 0, max(layers.wide[k] - 1, 0)) + layers.at[k]
        found[at] += 1
    total = shares.sum(axis=1, keepdims=True)
    return heads, columns, shares / np.where(total > 0.0, total, 1.0), offs


__all__ = ["Frame", "check_width", "cover_rad", "shoot"]
