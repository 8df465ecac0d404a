"""One frame measured: every number of the house standard, and where in the frame it is.

    stage + take --look--> headings, their views, the merged frame --measured_on--> Measured
                                                                      │
                                   FrameBands --judge(measured.numbers)┘

Everything comes from where the headings really were and from what they show. What was put wrong is not asked: past
``look`` nobody knows the take, so that hiding its faults can change no verdict.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from scoring.frame.evidence import Region, map_regions, seam_boxes, seam_regions, seams_with_edges
from scoring.frame.look import Look, look
from scoring.frame.measure_glass import Rim, Veil
from scoring.frame.measure_level import Level, Sectors, horizon_at
from scoring.frame.measure_movers import Movers
from scoring.frame.measure_parts import NUMBERS, Parts, numbers_of
from scoring.frame.measure_seams import Points, Seam
from scoring.frame.measure_sharpness import Blur
from scoring.frame.measure_stance import Shadows, Stance
from scoring.frame.measure_tones import Tones, black, solid_angles, white
from scoring.frame.measure_uprights import Upright, leaning_both_ways
from scoring.frame.merge import BLACK
from scoring.frame.severity import Numbers
from scoring.frame.stage import Stage
from scoring.frame.take import Take
from scoring.light.colour import LUMINANCE
from scoring.light.response import LINEAR_OF_LEVEL
from scoring.standard import Looking

WORST = 0.5
"""A region shows at least this share of the worst of its quantity."""
BOX_DEG = 24.0
UPRIGHT_DEG = 10.0
"""Width of the box about an upright."""
DARKEST = 0.2
"""Where a frame is too dark, this share of it is pointed at."""


@dataclass(frozen=True, slots=True)
class Measured:
    """Everything that is measured on one frame. Angles are degrees of the frame, shares 0..1 of the sphere."""

    headings_count: int
    closing: int
    """Number of the seam where the circle closes."""
    seams: tuple[Seam, ...]
    points: Points
    level: Level
    uprights: tuple[Upright, ...]
    """Long upright edges, those first whose top stands farthest off plumb."""
    sectors: Sectors
    veil: Veil
    rim: Rim
    blur: Blur
    tones: Tones
    movers: Movers
    stance: Stance
    shadows: Shadows
    near_seams: tuple[int, ...]
    """Seams about which an edge near by shows, by number ..."""
    far_seams: tuple[int, ...]
    """... and one far off: what a fair case needs."""
    regions: tuple[Region, ...] = ()
    """Where each quantity shows, whether it matters or not; by quantity, worst first."""

    @property
    def numbers(self) -> Numbers:
        """One number for each quantity of the house standard."""
        return numbers_of(self)

    def is_fair(self, looking: Looking) -> bool:
        """Whether enough seams show edges near and far for a person to tell causes apart."""
        return min(len(self.near_seams), len(self.far_seams)) >= looking.seams_count

    def regions_of(self, quantity: str) -> tuple[Region, ...]:
        """Where one quantity shows, worst first."""
        return tuple(region for region in self.regions if region.quantity == quantity)


def measure(stage: Stage, take: Take, *, width_px: int, looking: Looking | None = None) -> Measured:
    """Measure the frame of a take on its stage, from views of that width.

    ``looking`` says what can be seen at all; the shipped standard's when None.
    """
    return measured_on(look(stage, take, width_px), looking or Looking())


def measure_one(
    stage: Stage, take: Take, quantity: str, *, width_px: int, looking: Looking | None = None
) -> float | None:
    """One number of a take alone, a field of `Numbers`: what `measure` gives for it, at less cost."""
    return NUMBERS[quantity](Parts(look(stage, take, width_px), looking or Looking()))


def measured_on(seen: Look, looking: Looking) -> Measured:
    """Measure what was looked at."""
    return measured_of(Parts(seen, looking))


def measured_of(parts: Parts) -> Measured:
    """Everything that can be measured, with what of it is there already."""
    parts.make_longest()
    seen, looking = parts.seen, parts.looking
    measured = Measured(
        headings_count=len(seen.spin.headings),
        closing=seen.closing,
        seams=parts.seams,
        points=parts.points,
        level=parts.level,
        uprights=parts.uprights,
        sectors=parts.sectors,
        veil=parts.veil,
        rim=parts.rim,
        blur=parts.blur,
        tones=parts.tones,
        movers=parts.movers,
        stance=parts.stance,
        shadows=parts.shadows,
        near_seams=seams_with_edges(parts.points, looking.edge_levels, 0.0, looking.near_m),
        far_seams=seams_with_edges(parts.points, looking.edge_levels, looking.far_m, np.inf),
    )
    return replace(measured, regions=tuple(_regions(seen, measured)))


def _regions(seen: Look, measured: Measured) -> Iterable[Region]:
    feather_deg, numbers = seen.spin.feather_deg, measured.numbers
    worst_deg = numbers.doubling_deg or 0.0
    if worst_deg > 0.0:
        yield from seam_regions(measured.points, measured.seams, WORST * worst_deg, feather_deg)
    for quantity in ("horizon_step_deg", "exposure_step_ev", "colour_step_mired"):
        greatest = getattr(numbers, quantity)
        found = [(seam.azimuth_deg, getattr(seam, quantity)) for seam in measured.seams]
        strong = [(azimuth, value) for azimuth, value in found if 0.0 < greatest * WORST <= abs(value)]
        yield from seam_boxes(quantity, strong, feather_deg)
    level, rim = measured.level, measured.rim
    if level.tilt_deg > 0.0:
        for one in leaning_both_ways(measured.uprights):
            at_deg = (one.azimuth_deg, one.elevation_deg)
            yield Region("tilt_deg", *at_deg, UPRIGHT_DEG, one.long_deg, abs(one.lean_deg))
        for azimuth in (level.toward_deg, _wrapped(level.toward_deg + 180.0)):
            at = horizon_at(level, azimuth)
            yield Region("tilt_deg", azimuth, at, BOX_DEG, 2.0 * abs(at) + 8.0, level.tilt_deg)
    share = solid_angles(*seen.frame.rgb.shape[:2])
    yield from map_regions("clipped_share", white(seen.frame.rgb), share)
    yield from map_regions("crushed_share", black(seen.frame.rgb) & (seen.frame.faces != BLACK), share)
    if measured.tones.dark_ev > 0.0:
        light = LINEAR_OF_LEVEL[seen.frame.rgb] @ LUMINANCE
        yield from map_regions("dark_ev", light < np.quantile(light, DARKEST), share)
    if measured.stance.height_off_m > 0.0:
        yield Region("lens_height_off_m", 0.0, 0.0, 2.0 * BOX_DEG, 8.0, measured.stance.height_off_m)
    if measured.veil.worst_share > 0.0:
        yield from _repeated(
            seen, "veil_share", measured.veil.shown.azimuth_deg, measured.veil.shown.elevation_deg,
            measured.veil.shown.lost_share, measured.veil.pattern == "same place",
        )  # fmt: skip
    if rim.crescent_share > 0.0:
        at_deg = (rim.crescent_azimuth_deg, rim.crescent_elevation_deg)
        yield from _repeated(seen, "crescent_share", *at_deg, rim.crescent_share, True)
    if rim.blocked_share > 0.0:
        at_deg = (rim.blocked_azimuth_deg, rim.blocked_elevation_deg)
        yield from _repeated(seen, "blocked_share", *at_deg, rim.blocked_share, True)
    blur, sectors = measured.blur, measured.sectors
    if blur.worst_deg > 0.0:
        yield Region("blur_deg", blur.azimuth_deg, blur.elevation_deg, BOX_DEG, BOX_DEG, blur.worst_deg)
    if sectors.missing_deg > 0.0:
        yield Region("missing_deg", sectors.missing_at_deg, 0.0, sectors.missing_deg, 90.0, sectors.missing_deg)
    if sectors.repeated_deg > 0.0:
        yield Region("repeated_deg", sectors.repeated_at_deg, 0.0, sectors.repeated_deg, 90.0, sectors.repeated_deg)
    yield from measured.movers.regions
    yield from measured.shadows.regions


def _repeated(
    seen: Look, quantity: str, azimuth_deg: float, elevation_deg: float, value: float, everywhere: bool
) -> Iterable[Region]:
    """A box at a place, and at the same place of every other heading."""
    first = min(seen.views, key=lambda view: abs(_wrapped(view.heading.believed_deg - azimuth_deg)))
    off_deg = _wrapped(azimuth_deg - first.heading.believed_deg)
    chosen = seen.views if everywhere else (first,)
    for view in sorted(chosen, key=lambda view: view is not first):
        yield Region(
            quantity, _wrapped(view.heading.believed_deg + off_deg), elevation_deg, BOX_DEG, BOX_DEG, value
        )  # fmt: skip


def _wrapped(azimuth_deg: float) -> float:
    return (azimuth_deg + 180.0) % 360.0 - 180.0


__all__ = ["Measured", "measure", "measure_one", "measured_of", "measured_on"]
