"""Hours for a facade: what the sun's course says, against hand-worked days."""

from __future__ import annotations

import pytest

from scoring.light.hour import best_hours, hours_of, in_front
from scoring.light.sun import Sun, sun_position


def test_a_south_front_is_best_about_noon() -> None:
    best = best_hours("2025-03-20", 40.0, 0.0, 180.0)
    assert best.from_utc_h + best.span_h / 2.0 == pytest.approx(12.12, abs=0.2)
    assert best.lit_share == 1.0
    assert best.longest_shadow_ratio == pytest.approx(0.88, abs=0.05)


def test_an_east_front_is_best_as_late_in_the_morning_as_the_sun_still_reaches_it() -> None:
    best = best_hours("2025-06-21", 45.0, 10.0, 90.0)
    noon_utc_h = 12.0 - 10.0 / 15.0
    end_utc_h = best.from_utc_h + best.span_h
    assert noon_utc_h - 0.4 < end_utc_h < noon_utc_h + 0.2
    end = f"2025-06-21T{int(end_utc_h):02}:{int(end_utc_h % 1 * 60):02}Z"
    assert in_front(sun_position(end, 45.0, 10.0), 90.0)


def test_a_north_front_in_winter_is_never_lit_and_takes_the_highest_sun() -> None:
    best = best_hours("2025-12-21", 52.0, 0.0, 0.0)
    assert best.lit_share == 0.0
    assert best.from_utc_h + 1.0 == pytest.approx(12.0, abs=0.2)
    assert best.longest_shadow_ratio > 3.8


def test_spans_follow_the_local_day_and_hold_together() -> None:
    spans = hours_of("2025-06-21", 35.0, 140.0, 180.0, span_h=2.0)
    assert spans[0].from_utc_h == pytest.approx(-140.0 / 15.0)
    assert all(span.least_elevation_deg <= span.mean_elevation_deg for span in spans)
    assert len(spans) == 144 - 12 + 1


def test_the_sun_behind_a_front_or_down_does_not_light_it() -> None:
    assert in_front(Sun(100.0, 20.0), 180.0)
    assert not in_front(Sun(80.0, 20.0), 180.0)
    assert not in_front(Sun(180.0, -1.0), 180.0)


@pytest.mark.parametrize("span_h", [0.0, 25.0])
def test_it_refuses_spans_that_are_no_part_of_a_day(span_h: float) -> None:
    with pytest.raises(ValueError, match="span"):
        hours_of("2025-06-21", 35.0, 140.0, 180.0, span_h=span_h)
