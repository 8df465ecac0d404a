"""Where a frame shows what is wrong: every place of it, as boxes on the sphere.

    Measured + Severity  --places_of-->  regions, those of the quantity that decides first, worst first

A place shows a quantity that is out of the lowest band of the house standard. The few worst places are what feedback
points at; this is what somebody may point at and be right.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scoring.frame.evidence import Region, seam_boxes, seam_regions
from scoring.frame.measure import WORST, Measured
from scoring.frame.severity import Rating, Severity
from scoring.frame.spin import FEATHER_DEG
from scoring.standard import Bands, FrameBands

EVERYWHERE = frozenset({"tilt_deg", "dark_ev", "lens_height_off_m"})
"""Quantities of the whole frame: no place of it shows them more than another."""
SOFT_HIGH_DEG = 120.0
"""So much of a soft heading's height has things in it that could be sharp."""


def places_of(measured: Measured, severity: Severity, bands: FrameBands) -> tuple[Region, ...]:
    """Every place where a frame shows what is wrong; none when what decides shows everywhere or nothing is wrong."""
    if severity.worst.verdict == "keep" or shows_everywhere(measured, severity):
        return ()
    found: list[Region] = []
    for rating in severity.ratings:
        if rating.verdict != "keep":
            soft = rating is severity.worst and rating.quantity == "blur_deg"
            regions = _soft_headings(measured, bands.blur_deg) if soft else _regions(measured, rating)
            worst_first = sorted(regions, key=lambda one: -one.value)
            found += [one for one in worst_first if not _within_any(one, found)]
    return tuple(found)


def shows_everywhere(measured: Measured, severity: Severity) -> bool:
    """Whether the quantity that decides is one of the whole frame, so that nobody could point at it."""
    quantity = severity.worst.quantity
    if quantity == "blur_deg":
        return measured.blur.pattern in ("even", "along")
    return quantity in EVERYWHERE or (quantity == "veil_share" and measured.veil.pattern == "everywhere")


def _regions(measured: Measured, rating: Rating) -> Iterator[Region]:
    """Where one quantity shows: what deserves a redo by itself, or is half as bad as the worst."""
    quantity, least = rating.quantity, min(WORST * rating.value, rating.limit)
    if quantity == "doubling_deg":
        for seam in measured.seams:
            if seam.worst is not None:
                # As if its worst were just enough, so that what is next to something worse counts as well.
                just = replace(seam, worst=replace(seam.worst, doubling_deg=least))
                yield from seam_regions(measured.points, (just,), least, FEATHER_DEG)
    elif quantity in ("horizon_step_deg", "exposure_step_ev", "colour_step_mired"):
        found = [(seam.azimuth_deg, abs(getattr(seam, quantity))) for seam in measured.seams]
        yield from seam_boxes(quantity, [(at, value) for at, value in found if value >= least], FEATHER_DEG)
    else:
        yield from measured.regions_of(quantity)


def _soft_headings(measured: Measured, bands: Bands) -> Iterator[Region]:
    """The whole of each heading that is soft, where softness decides: what else softens does so on one side."""
    step_deg = 360.0 / len(measured.blur.by_heading)
    for index, value in enumerate(measured.blur.by_heading):
        if value is not None and not bands[0].holds(value):
            azimuth = (index * step_deg + 180.0) % 360.0 - 180.0
            yield Region("blur_deg", azimuth, 0.0, step_deg, SOFT_HIGH_DEG, value)


def _within_any(one: Region, others: list[Region]) -> bool:
    """Whether a box lies in one of the others whole, so that pointing at it is pointing at that one."""
    return any(
        abs((one.azimuth_deg - other.azimuth_deg + 180.0) % 360.0 - 180.0) + 0.5 * one.width_deg
        <= 0.5 * other.width_deg
        and abs(one.elevation_deg - other.elevation_deg) + 0.5 * one.height_deg <= 0.5 * other.height_deg
        for other in others
    )


__all__ = ["EVERYWHERE", "places_of", "shows_everywhere"]
