"""The signature of a frame: the handful of traces that tell causes apart, read off what was measured on it.

    Measured + FrameBands + Looking  --signature-->  Signature    (compared by scoring.frame.lookalikes)

A trace counts as there when its quantity is out of the house standard's lowest band; what that trace looks like is
then read from its pattern. Nothing of what caused the frame is known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from scoring.frame.measure import Measured
from scoring.frame.measure_glass import Pattern
from scoring.frame.measure_seams import Seam
from scoring.frame.measure_sharpness import SMEAR, Softness
from scoring.frame.measure_trend import Direction, Law, alike, trend_of
from scoring.standard import Bands, FrameBands

Repeat = Literal["none", "all", "one and closing", "irregular", "some", "global"]
Horizon = Literal["straight", "wave", "teeth", "scallops", "uneven"]
Dark = Literal["none", "whole", "one edge", "one place", "one sector"]

ALIKE = 0.35
"""Steps of the horizon are alike when they scatter by less than this share of their mean."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """The traces of one frame. Words are fixed: drills, feedback and tests compare them."""

    repeat: Repeat
    """Where the trace comes again: at all seams or headings alike, where it happened and where the circle closes,
    irregularly, in the headings near a source, or over the whole frame without regard to headings."""
    distance_law: Law
    """Of the mismatch of still things: as one over the distance, or the same near and far."""
    direction: Direction
    """Of that mismatch."""
    at_eye_level: bool
    """Whether things at eye level are off as well."""
    opposite: bool
    """Whether the mismatch is the other way round below eye level."""
    still_things: bool
    """Whether still things are off at all."""
    contrast_loss: bool
    veil: Pattern
    trend: Literal["none", "fading"]
    """Of the veil, over the headings in the order they were taken."""
    soft: Softness
    """even: every way, all headings; along: along the horizon only; one side: the same side of each heading; some:
    single headings."""
    smeared: bool = False
    """Whether what is soft is so along the horizon only, be it all headings or some."""
    horizon: Horizon
    band: bool
    """Whether brightness or colour jumps at a seam."""
    sector: Literal["whole", "missing", "repeated"]
    dark: Dark
    """The whole frame, one edge of each heading, one place of each that something hides, or a sector."""
    white: Literal["none", "crisp", "glowing"]
    """Of clipped windows: whether their frame stays crisp or glows into the wall."""
    copies: Literal["none", "at a seam", "inside a heading", "in a mirror"]
    shadows: Literal["none", "parallel", "fixed"]
    """Of the sun, or fixed to the headings."""
    low: bool
    """Whether the lens stood off the kit's height."""
    seams_off: int
    """How many seams are out of the lowest band."""
    crescent: bool


def signature(measured: Measured, bands: FrameBands) -> Signature:
    """The traces of a measured frame."""
    off = [seam for seam in measured.seams if _out(seam.typical_deg, bands.doubling_deg)]
    crescent = _out(measured.rim.crescent_share, bands.crescent_share)
    trend = trend_of(measured.points, [seam.number for seam in off])
    veil: Pattern = measured.veil.pattern if _out(measured.veil.worst_share, bands.veil_share) else "none"
    banded = [seam for seam in measured.seams if veil == "none" and not crescent and _banded(seam, bands)]
    rise_deg = max(measured.blur.worst_deg, measured.blur.side_deg)
    soft: Softness = measured.blur.pattern if _out(rise_deg, bands.blur_deg) else "none"
    blocked = _out(measured.rim.blocked_share, bands.blocked_share)
    horizon = _horizon(measured, bands)
    dark = _dark(measured, bands, crescent, blocked, banded)
    white = _white(measured, bands, veil)
    copies = _copies(measured, bands)
    return Signature(
        repeat=_seam_repeat(measured, off, trend.law)
        if off
        else _repeat(
            [
                ("some", copies != "none"),
                (_of_veil(veil), veil != "none"),
                ("all", crescent or blocked),
                (_of_bands(measured, banded), bool(banded)),
                ("some" if soft == "some" else "all", soft != "none"),
                ("all", horizon in ("teeth", "scallops")),
                ("global", horizon == "wave" or dark == "whole" or white != "none"),
                ("some", _sector(measured, bands) != "whole"),
            ]
        ),
        distance_law=trend.law,
        direction=trend.direction,
        at_eye_level=trend.at_eye_level,
        opposite=trend.opposite,
        still_things=bool(off),
        contrast_loss=veil != "none",
        veil=veil,
        trend="fading" if veil != "none" and measured.veil.fades else "none",
        soft=soft,
        smeared=soft != "none" and measured.blur.across_deg > SMEAR * measured.blur.up_deg,
        horizon=horizon,
        band=bool(banded),
        sector=_sector(measured, bands),
        dark=dark,
        white=white,
        copies=copies,
        shadows="fixed"
        if crescent or blocked
        else "parallel"
        if _out(measured.shadows.ratio, bands.shadow_ratio)
        else "none",
        low=_out(measured.stance.height_off_m, bands.lens_height_off_m),
        seams_off=len(off),
        crescent=crescent,
    )


def _out(value: float, bands: Bands) -> bool:
    """Whether a value is out of the lowest band: what lies in that one is no trace."""
    return not bands[0].holds(abs(value))


def _banded(seam: Seam, bands: FrameBands) -> bool:
    light, colour = abs(seam.exposure_step_ev), abs(seam.colour_step_mired)
    return _out(light, bands.exposure_step_ev) or _out(colour, bands.colour_step_mired)


def _seam_repeat(measured: Measured, off: Sequence[Seam], law: Law) -> Repeat:
    shared = [seam for seam in measured.seams if seam.shared]
    numbers = [seam.number for seam in off]
    if len(off) == len(shared) and alike(measured.points, numbers, law):
        return "all"
    if len(off) == 2 and measured.closing in numbers and len(shared) > 2:
        return "one and closing"
    return "irregular"


def _repeat(found: Sequence[tuple[Repeat, bool]]) -> Repeat:
    """The first trace that is there says how it repeats."""
    return next((repeat for repeat, there in found if there), "none")


def _of_veil(veil: Pattern) -> Repeat:
    return "all" if veil == "same place" else "global" if veil == "everywhere" else "some"


def _of_bands(measured: Measured, banded: Sequence[Seam]) -> Repeat:
    closes = len(banded) == 2 and measured.closing in [seam.number for seam in banded]
    return "one and closing" if closes else "irregular"


def _horizon(measured: Measured, bands: FrameBands) -> Horizon:
    steps = np.array([seam.horizon_step_deg for seam in measured.seams if seam.shared])
    if len(steps) and _out(float(np.abs(steps).max()), bands.horizon_step_deg):
        return "teeth" if float(steps.std()) < ALIKE * abs(float(steps.mean())) else "uneven"
    if _out(measured.level.scallop_deg, bands.horizon_step_deg):
        return "scallops"
    return "wave" if _out(measured.level.tilt_deg, bands.tilt_deg) else "straight"


def _sector(measured: Measured, bands: FrameBands) -> Literal["whole", "missing", "repeated"]:
    """Whether a sector as wide as half a heading or more is missing or there twice."""
    whole_deg = 180.0 / measured.headings_count
    sectors = measured.sectors
    if _out(sectors.repeated_deg, bands.repeated_deg) and sectors.repeated_deg >= max(whole_deg, sectors.missing_deg):
        return "repeated"
    return "missing" if _out(sectors.missing_deg, bands.missing_deg) and sectors.missing_deg >= whole_deg else "whole"


def _dark(measured: Measured, bands: FrameBands, crescent: bool, blocked: bool, banded: Sequence[Seam]) -> Dark:
    if blocked:
        return "one place"
    if crescent:
        return "one edge"
    if banded:
        return "one sector"
    return "whole" if _out(measured.tones.dark_ev, bands.dark_ev) else "none"


def _white(measured: Measured, bands: FrameBands, veil: Pattern) -> Literal["none", "crisp", "glowing"]:
    if veil in ("same place", "toward a source"):
        return "glowing"
    return "crisp" if _out(measured.tones.clipped_share, bands.clipped_share) else "none"


def _copies(measured: Measured, bands: FrameBands) -> Literal["none", "at a seam", "inside a heading", "in a mirror"]:
    if _out(measured.movers.copies_count, bands.copies_count):
        return "at a seam"
    if _out(measured.movers.ghost_share, bands.ghost_share):
        return "inside a heading"
    return "in a mirror" if _out(measured.movers.self_count, bands.self_count) else "none"


__all__ = ["Dark", "Horizon", "Repeat", "Signature", "signature"]
