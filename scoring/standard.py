"""The house standard: every threshold of the job, with its unit, in one versioned value.

Nothing else in the code holds a limit. Where the trade has no published figure (most rows), the number is
common practice without a source, and so a setting. A grade stores the standard's version.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, ConfigDict, Field
from pydantic.dataclasses import dataclass

Share = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)]
Metres = Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=0.0, le=180.0, allow_inf_nan=False)]

SLUG_PATTERN = r"^[a-z0-9][a-z0-9-]{0,59}$"
Slug = Annotated[str, Field(pattern=SLUG_PATTERN)]
Words = Annotated[str, Field(min_length=1, max_length=600)]

BORDER = ConfigDict(extra="forbid", use_attribute_docstrings=True)
"""How a file's values are read: unknown fields are refused. Field docstrings become words of the JSON Schemas."""

Verdict = Literal["keep", "either", "redo"]
"""What a measured quantity of a frame asks for; "either" is never graded one way."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Band:
    """A stretch of one measured quantity, and what a frame in it deserves."""

    at_least: Annotated[float, Field(ge=0.0, le=1e6, allow_inf_nan=False)]
    below: Annotated[float, Field(gt=0.0, le=1e6, allow_inf_nan=False)] | None = None
    """Nothing for the last band, which has no end."""
    verdict: Verdict
    trip: bool = False
    """Worth coming back for, where the frame cannot be taken again on the spot."""
    words: Annotated[str, Field(min_length=1, max_length=120)]
    """How it looks, in a few words that can follow "this"."""

    def holds(self, value: float) -> bool:
        """Whether a measured value lies in this band."""
        return self.at_least <= value and (self.below is None or value < self.below)


def _gapless(bands: tuple[Band, ...]) -> tuple[Band, ...]:
    """The bands, when every value from nought upwards lies in one and only one of them."""
    end: float | None = 0.0
    for index, band in enumerate(bands):
        if end is None:
            raise ValueError(f"band {index} starts at {band.at_least:g}, but band {index - 1} has no end: they overlap")
        if band.at_least > end:
            raise ValueError(f"no band holds {end:g} to {band.at_least:g}, just before band {index}")
        if band.at_least < end:
            raise ValueError(f"bands {index - 1} and {index} both hold {band.at_least:g} to {end:g}")
        if band.below is not None and band.below <= band.at_least:
            raise ValueError(f"band {index} ends at {band.below:g}, not after its start at {band.at_least:g}")
        end = band.below
    if end is not None:
        raise ValueError(f"no band holds {end:g} and more: the last one must have no end")
    _in_order(bands)
    return bands


def _in_order(bands: tuple[Band, ...]) -> None:
    """Raises ValueError where more of a fault would deserve a milder verdict."""
    order = {"keep": 0, "either": 1, "redo": 2}
    for index, (milder, harder) in enumerate(pairwise(bands), start=1):
        if order[harder.verdict] < order[milder.verdict] or (milder.trip and not harder.trip):
            raise ValueError(f"band {index} is milder than band {index - 1}, which holds smaller values")
    for index, band in enumerate(bands):
        if band.trip and band.verdict != "redo":
            raise ValueError(f"band {index} is worth a trip, so its verdict must be redo")


Bands = Annotated[tuple[Band, ...], Field(min_length=1, max_length=8), AfterValidator(_gapless)]
"""From nought upwards without a gap or an overlap, milder verdicts first."""


def _bands(keep_below: float, redo_from: float, trip_from: float | None, *words: str) -> tuple[Band, ...]:
    """The usual three bands and a fourth that is worth a trip; ``words`` names each of them in turn."""
    edges = [(0.0, "keep", False), (keep_below, "either", False), (redo_from, "redo", False)]
    edges += [] if trip_from is None else [(trip_from, "redo", True)]
    merged = [edge for edge, following in zip(edges, [*edges[1:], (None,)], strict=True) if edge[0] != following[0]]
    ends = [edge[0] for edge in merged[1:]]
    return tuple(
        Band(at_least=start, below=below, verdict=verdict, trip=trip, words=said)  # type: ignore[arg-type]
        for (start, verdict, trip), below, said in zip(merged, [*ends, None], words, strict=True)
    )


_UNSEEN = "cannot be seen in normal viewing"
_AT_ZOOM = "can be seen on zooming in"
_PLAIN = "is plain to see"
_FAR_OFF = "spoils the frame"


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class FrameBands:
    """What a frame deserves for each quantity that is measured on it.

    A field's name carries the unit of its bands; shares are 0..1 of the solid angle of the whole sphere unless said
    otherwise. All edges are common practice without a source.
    """

    doubling_deg: Bands = _bands(0.15, 0.4, 1.0, _UNSEEN, _AT_ZOOM, _PLAIN, _FAR_OFF)
    """The worst visible disagreement of two headings over a still thing at their seam, of any direction."""
    horizon_step_deg: Bands = _bands(0.15, 0.4, 1.0, _UNSEEN, _AT_ZOOM, _PLAIN, _FAR_OFF)
    """Up-down, of far things at eye level, where two headings meet."""
    tilt_deg: Bands = _bands(0.5, 1.0, 3.0, "is level enough", "is tolerated", "leans", "leans badly")
    """Of the whole frame, off plumb."""
    veil_share: Bands = _bands(0.03, 0.1, 0.3, "leaves the blacks black", "greys the blacks", "is a haze", "is a fog")
    """Contrast lost to stray light where it is worst, over a patch of a few degrees."""
    clipped_share: Bands = _bands(0.02, 0.05, None, "is lamps and glints", "is a pale window", "is a lost view")
    """Flat white without detail."""
    crushed_share: Bands = _bands(0.05, 0.15, None, "is deep shade", "is dark corners", "is lost in black")
    """Flat black without detail."""
    dark_ev: Bands = _bands(1.0, 1.5, 2.5, "is bright enough", "is dim", "is dark", "is near black")
    """Doublings of light by which the middle tone of the frame lies below middle grey."""
    blur_deg: Bands = _bands(0.15, 0.25, 0.5, "is sharp", "is a little soft", "is soft", "is blurred")
    """Rise of a sharp edge from 10 to 90 %, where it is worst of all headings."""
    exposure_step_ev: Bands = _bands(0.1, 0.3, 1.0, "does not show", "shows on plain walls", "is a band", "is a bar")
    """Doublings of light between two headings over the same things."""
    colour_step_mired: Bands = _bands(8.0, 20.0, 60.0, "does not show", "shows on plain walls", "is a band", "is a bar")
    """Between two headings over the same things, in mired (a million over the colour temperature in kelvin)."""
    missing_deg: Bands = _bands(2.0, 2.0, 2.0, "is nothing missing", "is a missing sector")
    """Of azimuth that no heading shows."""
    repeated_deg: Bands = _bands(2.0, 2.0, 2.0, "is nothing twice", "is a sector shown twice")
    """Of azimuth that is shown a second time where other things should be."""
    copies_count: Bands = _bands(1.0, 1.0, None, "is nobody", "is a copy or a cut body")
    """Things that one heading shows at a seam and the other does not."""
    ghost_share: Bands = _bands(0.0005, 0.005, None, "does not show", "is a small ghost", "is a ghost")
    """Of the sphere, where the exposures of one heading do not agree."""
    lens_height_off_m: Bands = _bands(0.1, 0.2, None, "keeps the job's height", "is a little off", "is off")
    """Between the lens and the height that the kit stands at."""
    shadow_ratio: Bands = _bands(1.7, 2.7, None, "is a high sun", "is a lowish sun", "is a low sun")
    """Length of a shadow over the height that casts it, where sunlit ground or a sun patch shows; else nought."""
    blocked_share: Bands = _bands(0.001, 0.004, None, "does not show", "is a small thing", "is a thing in the way")
    """Of the sphere, hidden by a thing that belongs to the set-up."""
    self_count: Bands = _bands(1.0, 1.0, None, "is nobody", "is the set-up in a mirror")
    """Images of the set-up, or of whoever turns it, in a mirror."""
    crescent_share: Bands = _bands(0.005, 0.02, None, "is an even edge", "is a shaded edge", "is a dark crescent")
    """Of the sphere, darkened by a tenth or more at one and the same side of the headings."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Looking:
    """What can be seen in a frame at all."""

    edge_levels: Annotated[float, Field(gt=0.0, le=255.0)] = 10.0
    """Least contrast of an edge that shows a doubling, in levels of 255."""
    near_m: Metres = 1.2
    """A frame to judge has an edge nearer than this ..."""
    far_m: Metres = 4.0
    """... and one farther than this ..."""
    seams_count: Annotated[int, Field(ge=0, le=12)] = 2
    """... on so many seams or more."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Standard:
    """The limits that a placement and a frame are graded against.

    All lengths are metres, shares 0..1, angles degrees.
    """

    format: Literal["levelhead-standard"]
    version: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9.-]{0,39}$")]
    title: Annotated[str, Field(min_length=1, max_length=120)]

    # What counts as seen.
    sight_range_m: Metres
    """Floor and corners farther away than this are not seen well enough indoors."""
    sight_range_outdoor_m: Metres
    floor_grazing_min_deg: Degrees
    """Floor met at a flatter angle than this is not seen: with the lens H high, r <= H / tan(angle)."""
    corner_stub_m: Metres
    """Length of wall on each side of a corner that must be seen."""
    incidence_report_deg: Degrees
    """Walls met at a steeper incidence are reported, never failed."""

    # How much must be seen.
    floor_share_min: Share
    """Share of a room's floor that is asked for ..."""
    floor_share_of_best: Share
    """... or this share of the best that the allowed stands together can see, whichever is less."""
    outdoor_share_min: Share

    # What counts as a link.
    link_strip_m: Metres
    """Clear width a sight link must have all along."""
    link_max_m: Metres
    link_max_outdoor_m: Metres

    # Where a tripod may stand.
    clearance_good_m: Metres
    clearance_soft_m: Metres
    """Nearer than this to a wall or a thing at lens height costs a little."""
    threshold_circle_m: Metres
    """A room whose largest free circle has a smaller radius is taken from its door line."""
    threshold_min_m: Metres
    threshold_max_m: Metres
    """From the door line: this far outside the wall face, on the door axis."""
    edge_keep_off_m: Metres
    """From unguarded edges, pools and ponds."""
    flight_keep_off_m: Metres
    """From the foot or head of a flight to the leg circle, so that the way stays clear."""
    headroom_min_m: Metres
    """Free height over the lens."""

    # How forgiving a grade is.
    placement_error_m: Metres
    """A finger is not a mouse: whatever flips within this distance gets the benefit."""
    spare_loss_share: Share
    """A station is spare when no room loses more than this share of floor without it."""
    spare_tolerated_share: Share = 0.5
    """So many stations more than the reference, as a share of it (rounded up), cost nothing."""

    frames: FrameBands = Field(default_factory=FrameBands)
    """What a frame deserves for what is measured on it."""
    looking: Looking = Field(default_factory=Looking)
    """What can be seen in a frame at all."""


__all__ = [
    "BORDER", "SLUG_PATTERN", "Band", "Bands", "Degrees", "FrameBands", "Looking", "Metres", "Share", "Slug",
    "Standard", "Verdict", "Words",
]  # fmt: skip
