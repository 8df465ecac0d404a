"""The hour of a take: its own, or the one with the sun as low as was asked for."""

from __future__ import annotations

import pytest

from scoring.frame.hours import HourError, hour_of
from scoring.light.sun import sun_position
from tests.scoring.frame.spins import take, wrong


def test_it_is_the_take_s_own_hour() -> None:
    given = take(when_iso="2025-06-21T09:30", latitude_deg=40.0)
    assert hour_of(given) == sun_position("2025-06-21T09:30", 40.0, 0.0)


@pytest.mark.parametrize("half", ["morning", "evening"])
@pytest.mark.parametrize("longitude_deg", [0.0, -105.0, 150.0])
def test_a_low_sun_stands_as_low_as_it_was_asked_to(half: str, longitude_deg: float) -> None:
    low = wrong("F18", sun_deg=7.5, half=half)
    sun = hour_of(take(low, when_iso="2025-04-10T12:00", latitude_deg=48.0, longitude_deg=longitude_deg))
    assert sun.elevation_deg == pytest.approx(7.5, abs=1e-6)
    assert (sun.azimuth_deg < 180.0) == (half == "morning")


def test_where_the_sun_does_not_rise_so_high_it_says_so() -> None:
    with pytest.raises(HourError, match=r"it reaches [56]\.\d deg"):
        hour_of(take(wrong("F18", sun_deg=25.0), when_iso="2025-12-21T12:00", latitude_deg=61.0))
