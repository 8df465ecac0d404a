"""The house standard: every threshold of the job, with its unit, in one versioned value.

Nothing else in the code holds a limit. Where the trade has no published figure (most rows), the number is
common practice without a source, and so a setting. A grade stores the standard's version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import ConfigDict, Field
from pydantic.dataclasses import dataclass

Share = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)]
Metres = Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=0.0, le=180.0, allow_inf_nan=False)]

SLUG_PATTERN = r"^[a-z0-9][a-z0-9-]{0,59}$"
Slug = Annotated[str, Field(pattern=SLUG_PATTERN)]
Words = Annotated[str, Field(min_length=1, max_length=600)]

BORDER = ConfigDict(extra="forbid", use_attribute_docstrings=True)
"""How a file's values are read: unknown fields are refused. Field docstrings become words of the JSON Schemas."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Standard:
    """The limits a placement is graded against.

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


__all__ = ["BORDER", "SLUG_PATTERN", "Degrees", "Metres", "Share", "Slug", "Standard", "Words"]
