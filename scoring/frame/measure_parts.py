"""The parts of what is measured on a frame, each made when it is first asked for: one number alone costs what it rests
on and no more.

    Look ─┬─ about each seam ───────────▶ seams              doubling, steps of the horizon, of light, of colour
          ├─ views ─▶ windows ─▶ rises ─▶ blur
          │     └───────────────────┴─▶ cells ─▶ veil, rim
          ├─ merged frame, small ───────▶ tones, uprights
          ├─ rays of the merged frame ──▶ movers, shadows
          └─ where the headings were ───▶ level, sectors, stance
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Protocol

import numpy as np

from scoring.frame.look import Look, View
from scoring.frame.measure_glass import Cells, Rim, Veil, cells_of, rim_of, veil_of
from scoring.frame.measure_level import Level, Sectors, level_of, sectors_of
from scoring.frame.measure_movers import Movers, Traced, movers_in, trace_merged
from scoring.frame.measure_seams import Points, Seam, pairs_of, seam_of, seam_points
from scoring.frame.measure_sharpness import Blur, Rise, Window, blur_of, rise_of
from scoring.frame.measure_stance import Shadows, Stance, shadows_of, stance_of
from scoring.frame.measure_tones import Tones, tones_of
from scoring.frame.measure_uprights import Upright, uprights_of
from scoring.frame.merge import BLACK
from scoring.frame.severity import Numbers
from scoring.frame.threads import everything, on_threads
from scoring.light.colour import LUMINANCE
from scoring.standard import Looking

TRACED_ROWS = 256


class Parts:
    """What is measured on what was looked at; ``looking`` says what can be seen at all."""

    def __init__(self, seen: Look, looking: Looking) -> None:
        self.seen = seen
        self.looking = looking

    def look_whole(self) -> None:
        """Make the views first: what is looked at about the seams is cut from them then, and need not be traced
        alone."""
        _ = self.seen.views

    def make_longest(self) -> None:
        """Make the parts that take longest, two at a time: what is fitted point by point holds the interpreter, what
        is traced does not."""
        self.look_whole()
        everything([self._fit, self._trace])

    @cached_property
    def seams(self) -> tuple[Seam, ...]:
        """Where two headings meet, in the order of the frame."""
        return tuple(seam for seam, _ in self._about_seams)

    @cached_property
    def points(self) -> Points:
        """The points of all seams."""
        return Points._make(
            np.concatenate(column) for column in zip(*(own for _, own in self._about_seams), strict=True)
        )

    @cached_property
    def level(self) -> Level:
        """How level the frame is."""
        return level_of(self.seen.spin.headings, self.seen.spin.half_deg)

    @cached_property
    def uprights(self) -> tuple[Upright, ...]:
        """Long upright edges and how they lean."""
        levels = self.seen.frame.rgb @ LUMINANCE
        spin = self.seen.spin
        return uprights_of(spin.headings, spin.half_deg, levels, self.looking.edge_levels)

    @cached_property
    def sectors(self) -> Sectors:
        """What is missing and what is there twice."""
        return sectors_of(self.seen.spin.headings, self.seen.spin.half_deg, self.seen.to_world)

    @cached_property
    def veil(self) -> Veil:
        """Contrast lost to stray light."""
        return veil_of(self._cells)

    @cached_property
    def rim(self) -> Rim:
        """Shade, and things before the lens."""
        return rim_of(self._cells)

    @cached_property
    def blur(self) -> Blur:
        """How sharp it is."""
        return blur_of(self._rises, [view.heading.believed_deg for view in self.seen.views])

    @cached_property
    def tones(self) -> Tones:
        """White, black and dark shares."""
        frame = self.seen.frame
        return tones_of(frame.rgb, (frame.faces != BLACK).any(axis=0))

    @cached_property
    def movers(self) -> Movers:
        """What did not hold still."""
        return movers_in(self.seen.stage.scene, self._traced)

    @cached_property
    def stance(self) -> Stance:
        """Where the lens stood."""
        return stance_of(self.seen.stage.scene, np.array(self.seen.spin.lens_point_m), self.seen.kit_height_m)

    @cached_property
    def shadows(self) -> Shadows:
        """Sun in the frame."""
        return shadows_of(self.seen.stage.scene, self.seen.stage.lit, self._traced.faces, self._traced.points_m)

    def _fit(self) -> None:
        _ = self.veil, self.rim, self.blur

    def _trace(self) -> None:
        _ = self.movers, self.shadows, self.uprights

    @cached_property
    def _about_seams(self) -> list[tuple[Seam, Points]]:
        seen = self.seen
        lens_m = np.array(seen.spin.lens_point_m)
        found = []
        for pair in pairs_of(seen.spin.headings):
            points = seam_points(
                seen.stage.scene, lens_m, seen.to_world, pair, seen.strip_of(pair), seen.spin.feather_deg,
                self.looking.edge_levels, seen.cover_deg,
            )  # fmt: skip
            found.append((seam_of(pair, points), points))
        return found

    @cached_property
    def _traced(self) -> Traced:
        return trace_merged(self.seen.stage.scene, self.seen.spin.headings, TRACED_ROWS)

    @cached_property
    def _rises(self) -> list[list[Rise]]:
        found = on_threads(lambda own: [rise_of(_window(view)) for view in own], self.seen.windows)
        return [[rise for rise in own if rise is not None] for own in found]

    @cached_property
    def _cells(self) -> list[Cells]:
        views, half_deg = self.seen.views, self.seen.spin.half_deg
        middle = _middle(views)
        soft = {view.heading.index: _typical(own) for view, own in zip(views, self._rises, strict=True)}
        in_order = sorted(views, key=lambda view: (view.heading.source, view.heading.index))
        return on_threads(lambda view: cells_of(view, half_deg, middle, soft[view.heading.index]), in_order)


class Told(Protocol):
    """What numbers are read from: parts, or everything measured."""

    @property
    def seams(self) -> tuple[Seam, ...]: ...
    @property
    def level(self) -> Level: ...
    @property
    def sectors(self) -> Sectors: ...
    @property
    def veil(self) -> Veil: ...
    @property
    def rim(self) -> Rim: ...
    @property
    def blur(self) -> Blur: ...
    @property
    def tones(self) -> Tones: ...
    @property
    def movers(self) -> Movers: ...
    @property
    def stance(self) -> Stance: ...
    @property
    def shadows(self) -> Shadows: ...


NUMBERS: Mapping[str, Callable[[Told], float | None]] = {
    "doubling_deg": lambda of: max((s.worst.doubling_deg for s in of.seams if s.worst is not None), default=None),
    "horizon_step_deg": lambda of: _greatest(seam.horizon_step_deg for seam in of.seams),
    "tilt_deg": lambda of: of.level.tilt_deg,
    "veil_share": lambda of: of.veil.worst_share,
    "clipped_share": lambda of: of.tones.clipped_share,
    "crushed_share": lambda of: of.tones.crushed_share,
    "dark_ev": lambda of: of.tones.dark_ev,
    "blur_deg": lambda of: of.blur.worst_deg,
    "exposure_step_ev": lambda of: _greatest(seam.exposure_step_ev for seam in of.seams),
    "colour_step_mired": lambda of: _greatest(seam.colour_step_mired for seam in of.seams),
    "missing_deg": lambda of: of.sectors.missing_deg,
    "repeated_deg": lambda of: of.sectors.repeated_deg,
    "copies_count": lambda of: float(of.movers.copies_count),
    "ghost_share": lambda of: of.movers.ghost_share,
    "lens_height_off_m": lambda of: of.stance.height_off_m,
    "shadow_ratio": lambda of: of.shadows.ratio,
    "blocked_share": lambda of: of.rim.blocked_share,
    "self_count": lambda of: float(of.movers.self_count),
    "crescent_share": lambda of: of.rim.crescent_share,
}
"""How each quantity of the house standard is read."""


def numbers_of(told: Told) -> Numbers:
    """One number for each quantity of the house standard."""
    return Numbers(**{quantity: read(told) for quantity, read in NUMBERS.items()})


def _middle(views: Sequence[View]) -> float:
    """Middle luminance of all views through clean glass."""
    return float(np.median(np.concatenate([(view.clean[::4, ::4] @ LUMINANCE).ravel() for view in views])))


def _typical(rises: Sequence[Rise]) -> tuple[float, float]:
    """Rise of an edge in a heading, upwards and across [deg]; 0 where nothing tells."""
    if not rises:
        return 0.0, 0.0
    return float(np.median([rise.up_deg for rise in rises])), float(np.median([rise.across_deg for rise in rises]))


def _window(view: View) -> Window:
    middle_deg = view.left_rim_deg + 0.5 * view.clean.shape[1] / view.px_per_deg
    return Window(
        azimuth_deg=(middle_deg + 180.0) % 360.0 - 180.0,
        elevation_deg=view.top_deg - 0.5 * view.clean.shape[0] / view.px_per_deg,
        px_per_deg=view.px_per_deg,
        clean=view.clean @ LUMINANCE,
        seen=view.seen @ LUMINANCE,
    )


def _greatest(values: Iterable[float]) -> float:
    return max((abs(value) for value in values), default=0.0)


__all__ = ["NUMBERS", "Parts", "numbers_of"]
