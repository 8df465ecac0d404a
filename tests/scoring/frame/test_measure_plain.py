"""Where haze is plain: dark detail whose blacks turn grey, rather than the bare place that lost the greatest share."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.measure_plain import SPAN_MIN_LEVELS, Hazy, Tones, shown_in, tones_of
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import measured, studio

ROWS, COLUMNS = 5, 7
BARE, DARK = (1, 1), (3, 5)


def heading(lost: dict[tuple[int, int], float], span: dict[tuple[int, int], tuple[float, float]]) -> Hazy:
    """A heading of bare cells at 200 without haze, but for some; spans are (through clean glass, as taken)."""
    share, dark, now = (np.zeros((ROWS, COLUMNS)) for _ in range(3))
    dark += 195.0
    now += 195.0
    for at, value in lost.items():
        share[at] = value
    for at, (clean, seen) in span.items():
        dark[at], now[at] = 200.0 - clean, 200.0 - seen
    light = np.full((ROWS, COLUMNS), 200.0)
    return Hazy(10.0 * np.arange(COLUMNS), -10.0 * np.arange(ROWS), share, Tones(dark, light), Tones(now, light))


def test_it_names_the_dark_detail_and_not_the_bare_wall_that_lost_more() -> None:
    one = heading({BARE: 0.6, DARK: 0.4}, {BARE: (5.0, 2.0), DARK: (120.0, 70.0)})
    shown = shown_in([one], 0, 0.6)
    assert (shown.azimuth_deg, shown.elevation_deg) == (50.0, -30.0)
    assert (shown.lost_share, shown.clean_levels, shown.seen_levels) == (0.4, (80.0, 200.0), (130.0, 200.0))


def test_what_lost_little_shows_nothing_however_dark_it_is() -> None:
    one = heading({BARE: 0.6, DARK: 0.2, (1, 4): 0.5}, {DARK: (150.0, 20.0), (1, 4): (40.0, 30.0)})
    assert shown_in([one], 0, 0.6).azimuth_deg == 40.0


def test_where_all_that_is_hazy_is_bare_it_names_where_most_is_lost() -> None:
    bare = 0.5 * SPAN_MIN_LEVELS
    headings = [heading({BARE: 0.3}, {BARE: (bare, 5.0)}), heading({DARK: 0.6, BARE: 0.4}, {DARK: (bare, 5.0)})]
    shown = shown_in(headings, 1, 0.6)
    assert (shown.azimuth_deg, shown.elevation_deg, shown.lost_share) == (50.0, -30.0, 0.6)


def test_of_all_headings_the_one_that_shows_it_best_is_named() -> None:
    less = heading({DARK: 0.6}, {DARK: (60.0, 40.0)})
    more = heading({(2, 2): 0.5}, {(2, 2): (120.0, 60.0)})
    assert shown_in([less, more], 0, 0.6).azimuth_deg == 20.0


def test_dark_and_light_are_the_tones_of_a_cell_but_for_its_few_last_pixels() -> None:
    cell = np.concatenate([np.zeros(2), np.full(49, 60.0), np.full(49, 180.0)])[None, None]
    tones = tones_of(cell)
    assert (tones.dark[0, 0], tones.light[0, 0]) == (60.0, 180.0)


@pytest.mark.parametrize("code", ["F10", "F11"])
def test_in_a_room_its_blacks_are_lifted_there_by_what_people_see(code: str) -> None:
    shown = measured(studio(wrong(code))).veil.shown  # type: ignore[arg-type]
    (dark, light), (now_dark, now_light) = shown.clean_levels, shown.seen_levels
    assert light - dark >= SPAN_MIN_LEVELS
    assert now_dark - dark >= 20.0
    assert now_light - now_dark <= 0.7 * (light - dark)
    assert shown.lost_share >= 0.25
