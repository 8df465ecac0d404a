"""Looking at a take: its headings one by one, as they were taken and through clean glass, and the merged frame.

    stage + take --spin_of--> headings --layers--> each heading as taken    ┐
                                     └─────────▶ the same, nothing on the   ├ View
                                                 glass, sharp, same setting ┘

Both pictures of a view have one and the same geometry: they differ by what light and lens did, and by nothing else.
A view reaches ``BESIDE_DEG`` beyond its heading's sector, so that neighbours can be compared about their seam.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.film import Strays, strays_of
from scoring.frame.layers import Layers, Window, softened, traced_layers
from scoring.frame.measure_seams import Pair, Strip
from scoring.frame.merge import merge_rows
from scoring.frame.movers import exposure_masks
from scoring.frame.pose import Film, Heading, turn_right
from scoring.frame.sensor import Sensor, gains_of, sensor_of
from scoring.frame.shoot import Frame, cover_rad, shoot
from scoring.frame.spin import Spin, spin_of
from scoring.frame.stage import Stage
from scoring.frame.take import Take
from scoring.frame.threads import in_bands, on_threads
from scoring.light.colour import LUMINANCE

Rows = NDArray[Any]

BESIDE_DEG = 12.0
STRIP_DEG = 10.0
"""A strip about a seam reaches this far to either side."""
FINE_WIDTH_PX = 4096
"""Sharpness is measured at the scale of a frame so wide."""
FRAME_WIDTH_PX = 512
"""The merged frame is looked at for what is degrees wide: white windows, black corners."""
WINDOW_DEG = 10.0
WINDOWS = 2
"""Windows across a heading's sector."""
LOW_DEG, HIGH_DEG = -40.0, 22.0
"""Lower rims of windows: azimuth is not much crowded between, and there is furniture."""


class View(NamedTuple):
    """One heading in the frame's grid: arrays (h, w, ...), columns counted on beyond the frame's rim."""

    heading: Heading
    left_rim_deg: float
    top_deg: float
    px_per_deg: float
    clean: Rows
    """(h, w, 3) linear, through clean glass and sharp, at the setting of the spin."""
    seen: Rows
    """(h, w, 3) linear, as recorded before noise and clipping."""
    levels: NDArray[np.uint8]
    """(h, w, 3) as written."""
    clean_levels: NDArray[np.uint8]
    """The same of what is through clean glass."""


@dataclass(frozen=True, eq=False)
class Look:
    """All that is measured on, each part made when it is first asked for: nothing here says what was put wrong."""

    stage: Stage
    spin: Spin
    to_world: Rows
    """(3, 3), the frame's axes to the world's."""
    kit_height_m: float
    cover_deg: float
    """The disc over the tripod hides what lies within this angle of the nadir."""
    closing: int
    """Index of the heading to the left of the seam where the circle closes."""
    _shot: Callable[[], Frame]
    _bench: _Bench
    """At the width that is looked at."""
    _fine: _Bench

    @cached_property
    def frame(self) -> Frame:
        """The merged frame, no wider than ``FRAME_WIDTH_PX``."""
        return self._shot()

    @cached_property
    def views(self) -> tuple[View, ...]:
        """Of the headings that were taken, in the order of the frame."""
        return tuple(on_threads(lambda k: _view(self._bench, k, _sector(self._bench, k)), self._taken))

    @cached_property
    def windows(self) -> tuple[tuple[View, ...], ...]:
        """Small fine views of each of them, for sharpness."""
        half_deg = self._bench.spins[1].half_deg - BESIDE_DEG
        cuts = [(view.heading.index, cut) for view in self.views for cut in _detailed(view, half_deg)]
        made = on_threads(lambda one: _view(self._fine, *one), cuts)
        return tuple(tuple(made[at : at + WINDOWS]) for at in range(0, len(made), WINDOWS))

    def strip_of(self, pair: Pair) -> Strip | None:
        """The pictures of both headings of a seam about it; None when either was not taken."""
        if not {pair.left.index, pair.right.index} <= set(self._taken):
            return None
        if "views" in self.__dict__:
            views = {view.heading.index: view for view in self.views}
            left, right = views[pair.left.index], views[pair.right.index]
        else:
            cut = _beside(self._bench, pair.azimuth_deg)
            left, right = (_view(self._bench, heading.index, cut) for heading in (pair.left, pair.right))
        return _strip(pair.azimuth_deg, left, right)

    @property
    def _taken(self) -> list[int]:
        return [k for k, heading in enumerate(self._bench.spins[1].headings) if heading.taken]


def look(stage: Stage, take: Take, width_px: int, shot: Callable[[], Frame] | None = None) -> Look:
    """Look at a take in frames of that width, a multiple of 32; ``shot`` gives the small merged frame where it is there
    already."""
    spin = spin_of(take, stage.lens_point_m)
    bench_of = _bench(stage, take, spin)
    return Look(
        stage=stage,
        spin=spin,
        to_world=turn_right(-spin.facing_deg),
        kit_height_m=take.kit.lens_height_m,
        cover_deg=math.degrees(cover_rad(take)),
        closing=max(spin.headings, key=lambda heading: (heading.source, heading.index)).index,
        _shot=shot or (lambda: shoot(stage, take, min(width_px, FRAME_WIDTH_PX))),
        _bench=bench_of(width_px),
        _fine=bench_of(FINE_WIDTH_PX),
    )


def heading_windows(
    stage: Stage, take: Take, index: int, width_px: int, windows: Sequence[tuple[int, int, int, int]]
) -> tuple[View, ...]:
    """One heading alone in windows (left, top, width, height) of a frame of that width, as the merger lays it there.

    They may reach ``BESIDE_DEG`` beyond the heading's own sector.
    """
    bench = _bench(stage, take, spin_of(take, stage.lens_point_m))(width_px)
    return tuple(_view(bench, index, Window(*window)) for window in windows)


def _strip(azimuth_deg: float, left_view: View, right_view: View) -> Strip:
    (left, left_levels), (right, right_levels) = (_about(view, azimuth_deg) for view in (left_view, right_view))
    rim_deg = azimuth_deg - 0.5 * left.shape[1] / left_view.px_per_deg
    return Strip(rim_deg, left_view.top_deg, left_view.px_per_deg, left, right, left_levels, right_levels)


def _about(view: View, azimuth_deg: float) -> tuple[Rows, Rows]:
    """Linear picture and luminance levels of a view about an azimuth."""
    middle = (azimuth_deg - view.left_rim_deg) % 360.0 * view.px_per_deg
    reach = STRIP_DEG * view.px_per_deg
    columns = np.clip(np.arange(round(middle - reach), round(middle + reach)), 0, view.seen.shape[1] - 1)
    return view.seen[:, columns], view.levels[:, columns].astype(np.float64) @ LUMINANCE


class _Bench(NamedTuple):
    """What all views of one width share."""

    stage: Stage
    width_px: int
    masks: list[tuple[int, ...]]
    spins: tuple[Spin, Spin]
    """Through clean glass, and as taken."""
    strays: tuple[list[Strays], list[Strays]]
    sensor: Sensor
    seed: int


def _bench(stage: Stage, take: Take, spin: Spin) -> Callable[[int], _Bench]:
    """What views are made with, for any width."""
    wide = replace(spin, half_deg=spin.half_deg + BESIDE_DEG, feather_deg=1e-3)
    bare = replace(wide, headings=tuple(replace(heading, film=Film()) for heading in spin.headings))
    seated = replace(
        bare, headings=tuple(replace(h, lens_shift=(0.0, 0.0), lens_turn=np.eye(3)) for h in bare.headings)
    )
    clean_glass = strays_of(stage, seated)
    spotless = all(h.film == Film() and h.is_seated for h in spin.headings)
    strays = (clean_glass, clean_glass if spotless else strays_of(stage, wide))
    masks = [exposure_masks(take, heading.source) for heading in spin.headings]
    return lambda width_px: _Bench(
        stage, width_px, masks, (bare, wide), strays, sensor_of(stage, take, width_px), take.seed % 2**62
    )


def _sector(bench: _Bench, k: int) -> Window:
    """The columns of a heading's view, all rows."""
    spin = bench.spins[1]
    return _columns(bench, spin.headings[k].believed_deg, spin.half_deg)


def _beside(bench: _Bench, azimuth_deg: float) -> Window:
    """The columns about a seam, all rows."""
    return _columns(bench, azimuth_deg, STRIP_DEG + 1.0)


def _columns(bench: _Bench, middle_deg: float, reach_deg: float) -> Window:
    middle, reach = (middle_deg / 360.0 + 0.5) * bench.width_px, reach_deg / 360.0 * bench.width_px
    left = math.floor(middle - reach)
    return Window(left, 0, math.ceil(middle + reach) - left, bench.width_px // 2)


def _view(bench: _Bench, k: int, cut: Window) -> View:
    """One heading in a window, alone: its light is traced once for both pictures, which differ by glass alone."""
    bare, taken = (_alone(spin, k) for spin in bench.spins)
    clean_glass, glass = (strays[k] for strays in bench.strays)
    light = traced_layers(bench.stage, taken, [bench.masks[k]], [glass], bench.width_px, cut)
    clean, clean_levels = _exposed(bench, bare, clean_glass, light, cut)
    seen, levels = clean, clean_levels
    if glass is not clean_glass:
        seen, levels = _exposed(bench, taken, glass, softened(light, taken, [glass], bench.width_px), cut)
    scale = bench.width_px / 360.0
    return View(
        heading=bench.spins[1].headings[k],
        left_rim_deg=cut.left / scale - 180.0,
        top_deg=90.0 - cut.top / scale,
        px_per_deg=scale,
        clean=clean,
        seen=seen,
        levels=levels,
        clean_levels=clean_levels,
    )


def _alone(spin: Spin, k: int) -> Spin:
    return replace(spin, headings=(spin.headings[k],))


def _exposed(bench: _Bench, spin: Spin, stray: Strays, layers: Layers, cut: Window) -> tuple[Rows, NDArray[np.uint8]]:
    """Linear picture and levels of the one heading of a spin, in a window."""
    width = bench.width_px
    middle = (spin.headings[0].believed_deg / 360.0 + 0.5) * width
    own = cut.left + np.arange(cut.width)
    own = own - width * np.floor((own + 0.5 - middle) / width + 0.5).astype(np.int64)
    columns = np.clip(own - layers.first[0], 0, max(int(layers.wide[0]) - 1, 0)) + layers.at[0]
    rest = np.zeros(cut.width)
    heads = np.stack([np.zeros(cut.width, np.int64), np.full(cut.width, -1, np.int64)], axis=1)
    shares = np.stack([np.ones(cut.width), rest], axis=1)
    offs = np.stack([(own + 0.5 - middle) / width * 2.0 * math.pi, rest], axis=1)
    shape = (cut.height, cut.width)
    rgb, linear = np.empty((*shape, 3), np.uint8), np.empty((*shape, 3), np.float32)
    unused = (
        np.empty(shape, np.int32),
        np.empty(shape, np.float32),
        np.empty(shape, np.int8),
        np.empty(shape, np.float32),
    )
    fixed: tuple[Any, ...] = (
        layers.rgb_cd_m2, layers.soft_cd_m2, layers.faces, layers.ways_m, layers.top,
        heads, np.stack([columns, columns], axis=1), shares, offs, np.array([True]),
        stray.glass[None], np.array([stray.even]),
        gains_of(bench.stage, spin.headings[0].film)[None], bench.sensor.shown, bench.sensor.noise_cd_m2,
        bench.sensor.code, bench.sensor.colourful, 0.0, bench.seed, width, cut.left, cut.top,
    )  # fmt: skip
    merge: Callable[..., None] = merge_rows
    in_bands(lambda first, last: merge(*fixed, first, last, rgb, linear, *unused), cut.height)
    return linear, rgb


def _detailed(view: View, half_deg: float) -> list[Window]:
    """Where a heading's sector has most detail through clean glass: windows of a finer frame."""
    side = WINDOW_DEG * view.px_per_deg
    scale = FINE_WIDTH_PX / 360.0
    light = np.log(np.maximum(view.clean @ LUMINANCE, 1e-6))
    found = []
    for off_deg in np.linspace(-1.0, 1.0, WINDOWS) * (half_deg - WINDOW_DEG):
        left = round((view.heading.believed_deg + off_deg - 0.5 * WINDOW_DEG - view.left_rim_deg) * view.px_per_deg)
        tops = np.arange(LOW_DEG, HIGH_DEG, 2.0)
        detail = []
        for low_deg in tops:
            top = round((view.top_deg - low_deg - WINDOW_DEG) * view.px_per_deg)
            part = light[top : top + round(side), left : left + round(side)]
            detail.append(np.abs(np.diff(part, axis=0)).mean() * np.abs(np.diff(part, axis=1)).mean())
        low_deg = float(tops[int(np.argmax(detail))])
        middle = view.heading.believed_deg + off_deg
        found.append(
            Window(
                round((middle - 0.5 * WINDOW_DEG + 180.0) * scale),
                round((90.0 - low_deg - WINDOW_DEG) * scale),
                round(WINDOW_DEG * scale),
                round(WINDOW_DEG * scale),
            )
        )
    return found


__all__ = ["Look", "View", "heading_windows", "look"]
