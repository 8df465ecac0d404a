"""Which hours of a day suit a facade: high sun in front of it, short shadows, no glare from low sun.

What decides is the height of the sun, not the clock. For each span of hours the least and mean elevation while the sun
stands in front of the facade are worked out; the best span is the one whose sun stands highest throughout, or, for a
facade that the sun does not reach, the one with most light from the sky.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, inf, radians

from scoring.light.instant import julian_day
from scoring.light.sun import Sun, shadow_ratio, sun_at

STEP_MIN = 10


@dataclass(frozen=True, slots=True)
class Hours:
    """A span of one day as a facade sees it."""

    from_utc_h: float
    """Hours since midnight, universal time; may be below 0 or above 24 where the local day is another."""
    span_h: float
    least_elevation_deg: float
    mean_elevation_deg: float
    lit_share: float
    """Share of the span in which the sun stands in front of the facade."""
    longest_shadow_ratio: float
    """Longest shadow over height of what casts it; infinite when the sun is down for a part."""


def hours_of(date: str, lat_deg: float, lon_deg: float, facade_azimuth_deg: float, span_h: float = 2.0) -> list[Hours]:
    """Every span of a day (``2025-06-21``, by local sun time) in steps of ten minutes, in order of time.

    ValueError for a date that cannot be read or a span that is not within a day.
    """
    if not 0.0 < span_h <= 24.0:
        raise ValueError(f"a span of {span_h} h is not within a day")
    midnight_jd = julian_day(f"{date}T00:00Z")
    first_min = -lon_deg * 4.0
    suns = [
        sun_at(midnight_jd + (first_min + k * STEP_MIN) / 1440.0, lat_deg, lon_deg)
        for k in range(24 * 60 // STEP_MIN + 1)
    ]
    steps = max(1, round(span_h * 60.0 / STEP_MIN))
    out = []
    for k in range(len(suns) - steps):
        some = suns[k : k + steps + 1]
        heights = [sun.elevation_deg for sun in some]
        least = min(heights)
        out.append(
            Hours(
                from_utc_h=(first_min + k * STEP_MIN) / 60.0,
                span_h=span_h,
                least_elevation_deg=least,
                mean_elevation_deg=sum(heights) / len(heights),
                lit_share=sum(in_front(sun, facade_azimuth_deg) for sun in some) / len(some),
                longest_shadow_ratio=shadow_ratio(least) if least > 0.0 else inf,
            )
        )
    return out


def in_front(sun: Sun, facade_azimuth_deg: float) -> bool:
    """Whether the sun shines on a facade that looks toward an azimuth (east of north)."""
    return sun.elevation_deg > 0.0 and cos(radians(sun.azimuth_deg - facade_azimuth_deg)) > 1e-9


def best_hours(
    date: str, lat_deg: float, lon_deg: float, facade_azimuth_deg: float, span_h: float = 2.0, lit_share: float = 0.99
) -> Hours:
    """The span with the highest sun among those in which the facade is lit for ``lit_share`` of the time.

    Where there is none the most lit span counts first, and the sun's height second.
    """
    spans = hours_of(date, lat_deg, lon_deg, facade_azimuth_deg, span_h)
    return max(spans, key=lambda span: (min(span.lit_share, lit_share), span.least_elevation_deg))


__all__ = ["Hours", "best_hours", "hours_of", "in_front"]
