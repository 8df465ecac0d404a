"""The sun against the published worked example, an independent almanac, and trigonometry."""

from __future__ import annotations

from math import cos, hypot, inf, radians

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.light.instant import civil_from_days, days_from_civil, julian_day
from scoring.light.sun import (
    Sun,
    hours_above,
    patch_m,
    profile_deg,
    shadow_ratio,
    sun_at,
    sun_position,
    toward_sun,
)


def test_it_counts_days_as_the_worked_example_does() -> None:
    """Reda and Andreas, NREL/TP-560-34302 (rev. 2008), worked example."""
    assert julian_day("2003-10-17T12:30:30-07:00") == pytest.approx(2452930.312847, abs=1e-6)


def test_it_stands_where_the_worked_example_puts_it() -> None:
    """Reda and Andreas, NREL/TP-560-34302 (rev. 2008), worked example: zenith 50.11162, azimuth 194.34024 deg."""
    sun = sun_at(julian_day("2003-10-17T12:30:30-07:00"), 39.742476, -105.1786, pressure_mbar=820.0, air_c=11.0)
    assert 90.0 - sun.elevation_deg == pytest.approx(50.11162, abs=0.02)
    assert sun.azimuth_deg == pytest.approx(194.34024, abs=0.02)


def test_it_stays_within_two_hundredths_of_a_degree_of_a_long_almanac() -> None:
    """pvlib's implementation of the Solar Position Algorithm, 1950 to 2050, both hemispheres."""
    rng = np.random.default_rng(3)
    worst_deg = 0.0
    for lat_deg in (-66.0, -41.0, -10.0, 0.0, 23.0, 40.0, 52.0, 66.0):
        lon_deg = float(rng.uniform(-180.0, 180.0))
        whens = pd.to_datetime(rng.integers(-631152000, 2524608000, 250), unit="s", utc=True)
        theirs = pvlib.solarposition.spa_python(whens, lat_deg, lon_deg, pressure=101325, temperature=12)
        for when, their in zip(whens, theirs.itertuples(), strict=True):
            sun = sun_position(when.strftime("%Y-%m-%dT%H:%M:%SZ"), lat_deg, lon_deg)
            turned_deg = (sun.azimuth_deg - their.azimuth + 180.0) % 360.0 - 180.0
            if their.apparent_elevation < -0.5:
                continue
            off_deg = hypot(
                sun.elevation_deg - their.apparent_elevation, turned_deg * cos(radians(their.apparent_elevation))
            )
            worst_deg = max(worst_deg, off_deg)
    assert worst_deg < 0.02


@pytest.mark.parametrize(("elevation_deg", "ratio"), [(20, 2.75), (30, 1.73), (45, 1.0), (60, 0.58), (0, inf)])
def test_a_shadow_is_the_cotangent_long(elevation_deg: float, ratio: float) -> None:
    """Trigonometry."""
    assert shadow_ratio(elevation_deg) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(
    ("when", "lat_deg", "elevation_deg"),
    [
        ("2025-12-21T10:00Z", 40, 20.89), ("2025-12-21T12:00Z", 40, 26.59), ("2025-12-21T14:00Z", 40, 20.55),
        ("2025-12-21T12:00Z", 52, 14.62), ("2025-03-20T12:00Z", 40, 50.03), ("2025-06-21T12:00Z", 52, 61.44),
    ],
)  # fmt: skip
def test_it_stands_as_high_as_the_table_says(when: str, lat_deg: float, elevation_deg: float) -> None:
    """Values printed by pvlib's Solar Position Algorithm, longitude 0."""
    assert sun_position(when, lat_deg, 0.0).elevation_deg == pytest.approx(elevation_deg, abs=0.02)


def test_the_patch_of_a_south_window_at_midwinter_noon_lies_where_it_should() -> None:
    """Sill 0.9 m, head 2.1 m, 40 N, 21 December, noon: 1.80 to 4.20 m into the room (trigonometry on that sun)."""
    noon = sun_position("2025-12-21T12:00Z", 40.0, 0.0)
    square_on = Sun(180.0, noon.elevation_deg)
    assert patch_m(square_on, 180.0, 0.9, 2.1) == pytest.approx((1.80, 4.20), abs=0.01)


def test_sun_from_aside_shines_less_deep_by_the_cosine() -> None:
    sun = Sun(225.0, 30.0)
    square = patch_m(Sun(180.0, 30.0), 180.0, 0.9, 2.1)
    aside = patch_m(sun, 180.0, 0.9, 2.1)
    assert square is not None
    assert aside == pytest.approx(tuple(reach * cos(radians(45.0)) for reach in square))


def test_a_facade_sees_no_sun_behind_it_or_below_the_horizon() -> None:
    assert profile_deg(Sun(180.0, 30.0), 0.0) is None
    assert profile_deg(Sun(180.0, -1.0), 180.0) is None
    assert patch_m(Sun(180.0, 30.0), 0.0, 0.9, 2.1) is None


@pytest.mark.parametrize(
    ("date", "hours_h"), [("2025-12-21", 0.0), ("2025-02-14", 4.1), ("2025-03-20", 6.6), ("2025-06-21", 9.3)]
)
def test_it_counts_the_hours_of_high_sun(date: str, hours_h: float) -> None:
    """Sun at 30 deg or more at 40 N: none in December, 4.1 h mid-February, 6.6 h at equinox, 9.3 h in June."""
    assert hours_above(30.0, date, 40.0, 0.0) == pytest.approx(hours_h, abs=0.1)


@given(
    day=st.integers(-7305, 29219),
    minute=st.integers(0, 1439),
    lat_deg=st.floats(-66.0, 66.0),
    lon_deg=st.floats(-180.0, 180.0),
)
def test_hours_above_an_elevation_shrink_as_it_rises_and_the_sun_keeps_its_arc(
    day: int, minute: int, lat_deg: float, lon_deg: float
) -> None:
    year, month, date = civil_from_days(day)
    assert days_from_civil(year, month, date) == day
    sun = sun_position(f"{year:04}-{month:02}-{date:02}T{minute // 60:02}:{minute % 60:02}Z", lat_deg, lon_deg)
    assert 0.0 <= sun.azimuth_deg < 360.0
    assert sun.elevation_deg <= 90.0 - abs(lat_deg) + 23.5 + 0.1


@pytest.mark.parametrize("when", ["", "noon", "2025-02-30T12:00", "2025-01-01T24:00", "2025-01-01T12:00+25:00"])
def test_it_refuses_what_is_no_instant(when: str) -> None:
    with pytest.raises(ValueError, match=r"instant|no such|no clock"):
        julian_day(when)


@pytest.mark.parametrize(("north_deg", "toward"), [(90.0, (0.0, -1.0)), (0.0, (-1.0, 0.0)), (180.0, (1.0, 0.0))])
def test_south_lies_opposite_to_the_north_of_the_drawing(north_deg: float, toward: tuple[float, float]) -> None:
    x, y, z = toward_sun(Sun(180.0, 0.0), north_deg)
    assert (x, y) == pytest.approx(toward, abs=1e-12)
    assert z == 0.0
    east = toward_sun(Sun(90.0, 0.0), 90.0)
    assert east[:2] == pytest.approx((1.0, 0.0), abs=1e-12)
