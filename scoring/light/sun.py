r"""Where the sun stands, how long shadows are, and how deep it shines into a room.

::

        symbol   meaning                                             unit
        ------   -------------------------------------------------   -----------------------------------
        T        time since 2000-01-01 12:00 (terrestrial)           Julian centuries
        M        mean anomaly of the sun                             deg
        lam      apparent longitude in the ecliptic                  deg
        eps      obliquity of the ecliptic                           deg
        dec, H   declination, local hour angle (west positive)       deg
        az, el   azimuth east of north, elevation                    deg

                     sun
                      \                          p  profile angle: the sun's height as a facade sees it,
             head ┐    \                            tan p = tan el / cos g
                  │     \                        g  angle in plan between the sun and the facade's normal
             sill ┤ wall \
        ──────────┴───────▓▓▓▓▓▓▓───────  floor    patch from sill / tan p to head / tan p

Apparent place: Meeus, Astronomical Algorithms, 2nd ed., chapters 12, 25 (low accuracy, 0.01 deg) and 40, from memory;
refraction: Saemundsson 1986 as given there (16.4). Never look or aim a lens at the sun to check any of this.
"""

from __future__ import annotations

from itertools import pairwise
from math import asin, atan, atan2, cos, degrees, inf, isfinite, radians, sin, tan
from typing import NamedTuple

from scoring.light.instant import J2000_JD, julian_day

TERRESTRIAL_AHEAD_S = 65.0
"""Terrestrial less universal time. It grew from 29 s in 1950 to 69 s in 2020: 40 s move the sun 0.0005 deg."""


class Sun(NamedTuple):
    """The sun's place in the sky, with refraction."""

    azimuth_deg: float
    """East of north, 0..360."""
    elevation_deg: float


def sun_position(when_iso: str, lat_deg: float, lon_deg: float) -> Sun:
    """Where the sun stands for an observer at sea level.

    ``when_iso`` as in `julian_day`; longitude east positive. Within 0.02 deg of long almanacs from 1950 to 2050.
    ValueError when the instant cannot be read or the place lies off the globe.
    """
    return sun_at(julian_day(when_iso), lat_deg, lon_deg)


def sun_at(day_jd: float, lat_deg: float, lon_deg: float, pressure_mbar: float = 1013.25, air_c: float = 12.0) -> Sun:
    """As `sun_position`, by Julian day (UTC) and for any air."""
    if not (abs(lat_deg) <= 90.0 and abs(lon_deg) <= 360.0):
        raise ValueError(f"no place on the globe: latitude {lat_deg}, longitude {lon_deg}")
    right_ascension_deg, declination_deg, sidereal_deg, distance_au = _apparent(day_jd)
    hour = radians(sidereal_deg + lon_deg - right_ascension_deg)
    lat, dec = radians(lat_deg), radians(declination_deg)
    elevation = asin(min(1.0, max(-1.0, sin(lat) * sin(dec) + cos(lat) * cos(dec) * cos(hour))))
    azimuth = atan2(sin(hour), cos(hour) * sin(lat) - tan(dec) * cos(lat))
    elevation_deg = degrees(elevation) - 8.794 / 3600.0 / distance_au * cos(elevation)
    elevation_deg += refraction_deg(elevation_deg, pressure_mbar, air_c)
    return Sun((degrees(azimuth) + 180.0) % 360.0, elevation_deg)


def _apparent(day_jd: float) -> tuple[float, float, float, float]:
    """Right ascension and declination, sidereal time at Greenwich [deg], distance [au]."""
    t = (day_jd + TERRESTRIAL_AHEAD_S / 86400.0 - J2000_JD) / 36525.0
    anomaly = radians(357.52911 + t * (35999.05029 - t * 0.0001537))
    eccentricity = 0.016708634 - t * (0.000042037 + t * 0.0000001267)
    centre_deg = (
        (1.914602 - t * (0.004817 + t * 0.000014)) * sin(anomaly)
        + (0.019993 - 0.000101 * t) * sin(2.0 * anomaly)
        + 0.000289 * sin(3.0 * anomaly)
    )
    node = radians(125.04 - 1934.136 * t)
    nutation_deg = -0.00478 * sin(node)
    longitude = radians(280.46646 + t * (36000.76983 + t * 0.0003032) + centre_deg - 0.00569 + nutation_deg)
    obliquity = radians(23.4392911 - t * (0.0130042 + t * 1.6e-7) + 0.00256 * cos(node))
    distance_au = 1.000001018 * (1.0 - eccentricity**2) / (1.0 + eccentricity * cos(anomaly + radians(centre_deg)))
    right_ascension = atan2(cos(obliquity) * sin(longitude), cos(longitude))
    declination = asin(sin(obliquity) * sin(longitude))
    since_days = day_jd - J2000_JD
    turns = since_days / 36525.0
    sidereal_deg = 280.46061837 + 360.98564736629 * since_days + 0.000387933 * turns * turns
    sidereal_deg += nutation_deg * cos(obliquity)
    return degrees(right_ascension), degrees(declination), sidereal_deg, distance_au


def refraction_deg(elevation_deg: float, pressure_mbar: float = 1013.25, air_c: float = 12.0) -> float:
    """How much the air lifts the sun; nothing once its upper edge has set."""
    if elevation_deg < -0.26667 - 0.5667:
        return 0.0
    bent = 1.02 / (60.0 * tan(radians(elevation_deg + 10.3 / (elevation_deg + 5.11))))
    return pressure_mbar / 1010.0 * 283.0 / (273.0 + air_c) * bent


def toward_sun(sun: Sun, north_deg: float) -> tuple[float, float, float]:
    """Unit vector toward the sun on a drawing whose north points at ``north_deg``, counter-clockwise from east."""
    plan, up = radians(north_deg - sun.azimuth_deg), radians(sun.elevation_deg)
    return cos(up) * cos(plan), cos(up) * sin(plan), sin(up)


def shadow_ratio(elevation_deg: float) -> float:
    """Length of a shadow on level ground over the height of what casts it; infinite when the sun is down."""
    return 1.0 / tan(radians(elevation_deg)) if elevation_deg > 0.0 else inf


def profile_deg(sun: Sun, facade_azimuth_deg: float) -> float | None:
    """The sun's height as a facade sees it (the facade looks toward ``facade_azimuth_deg``, east of north).

    None when the sun is down or behind the facade.
    """
    aside = cos(radians(sun.azimuth_deg - facade_azimuth_deg))
    if sun.elevation_deg <= 0.0 or aside <= 1e-9:
        return None
    return degrees(atan(tan(radians(sun.elevation_deg)) / aside))


def patch_m(sun: Sun, facade_azimuth_deg: float, sill_m: float, head_m: float) -> tuple[float, float] | None:
    """Where the sun patch of a window begins and ends on the floor, measured square to the wall [m].

    None when no sun comes in. ValueError when the head is not over the sill.
    """
    if not (isfinite(sill_m) and isfinite(head_m) and 0.0 <= sill_m < head_m):
        raise ValueError(f"a window from {sill_m} m to {head_m} m lets nothing in")
    profile = profile_deg(sun, facade_azimuth_deg)
    if profile is None:
        return None
    ratio = shadow_ratio(profile)
    return sill_m * ratio, head_m * ratio


def hours_above(elevation_deg: float, date: str, lat_deg: float, lon_deg: float, step_min: float = 5.0) -> float:
    """Hours of a day (``2025-06-21``, local solar day) with the sun's centre above an elevation."""
    start_jd = julian_day(f"{date}T00:00Z") - lon_deg / 360.0
    steps = round(1440.0 / step_min)
    over = [sun_at(start_jd + i / steps, lat_deg, lon_deg).elevation_deg - elevation_deg for i in range(steps + 1)]
    share = 0.0
    for one, two in pairwise(over):
        if one > 0.0 and two > 0.0:
            share += 1.0
        elif one > 0.0 or two > 0.0:
            share += max(one, two) / abs(one - two)
    return 24.0 * share / steps


__all__ = [
    "Sun", "hours_above", "patch_m", "profile_deg", "refraction_deg", "shadow_ratio", "sun_at", "sun_position",
    "toward_sun",
]  # fmt: skip
