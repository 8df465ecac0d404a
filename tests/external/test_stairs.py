"""Sight over a flight with the stair figures of the International Residential Code R311.7 (2018), read second-hand.

Width 914 mm, riser 196 mm, tread 254 mm, headroom 2,032 mm. They teach; this is no code check.
"""

from __future__ import annotations

import pytest

from scoring.floor.links import link
from scoring.floor.place import prepare
from scoring.floor.shapes import height_at
from scoring.floor.stands import stand
from tests.scoring.floor.small_plans import at, kit, standard, straight_flight

WIDTH_M, RISER_M, TREAD_M, HEADROOM_M = 0.914, 0.196, 0.254, 2.032
RISERS = 14
RISE_M = RISERS * RISER_M
HEAD_X = 3.0 + (RISERS - 1) * TREAD_M
WHERE = prepare(
    straight_flight(width=WIDTH_M, risers=RISERS, going=TREAD_M, rise=RISE_M), kit(leg_circle_m=0.8), standard()
)


def test_a_flight_as_steep_as_the_code_allows_joins_its_foot_and_head() -> None:
    for back in (0.6, 0.8, 1.0):
        found = link(WHERE, at(3.0 - back, 1.5), at(HEAD_X + back, 1.5, 1))
        assert found.holds
        assert found.firm
        assert found.clear_m == pytest.approx(WIDTH_M, abs=1e-6)


def test_the_nosing_line_rises_by_one_riser_a_tread() -> None:
    treads = WHERE.runs[0].treads
    assert height_at(treads, 3.0, 1.5) == pytest.approx(RISER_M)
    assert height_at(treads, 3.0 + TREAD_M, 1.5) - height_at(treads, 3.0, 1.5) == pytest.approx(RISER_M)
    assert height_at(treads, HEAD_X, 1.5) == pytest.approx(RISE_M)
    assert [step.top for step in WHERE.runs[0].steps] == pytest.approx([RISER_M * i for i in range(1, RISERS)])


def test_the_line_between_two_lenses_runs_lower_over_the_treads_than_the_headroom() -> None:
    treads = WHERE.runs[0].treads
    lens = WHERE.kit.lens_height_m
    for share in (0.25, 0.5, 0.75):
        x = 2.2 + share * (HEAD_X + 0.8 - 2.2)
        over = lens + share * RISE_M - height_at(treads, x, 1.5)
        assert 0.0 < over < HEADROOM_M


def test_a_landing_as_wide_as_the_flight_takes_no_tripod_clear_of_the_flights_end() -> None:
    assert not stand(WHERE, at(3.0 - 0.2, 1.5)).allowed
    assert stand(WHERE, at(3.0 - WIDTH_M / 2.0 - 0.1, 1.5)).allowed
