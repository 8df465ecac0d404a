"""Cue: marks on the sphere against the places that were measured; sprinkling marks does not pay."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.drill import AnswerError, Spot
from scoring.kinds.cue import FAR_DEG, NEAR_DEG, box_share, credit_of, off_deg
from tests.scoring.kinds.looked_at import known, task
from tests.scoring.kinds.shipped import graded, like

BOX = Spot("evidence", "frame", 170.0, 10.0, 10.0, 20.0)
ASKS = {"spots_most": 3}


def spot(azimuth: float, elevation: float) -> dict[str, float]:
    return {"azimuth_deg": azimuth, "elevation_deg": elevation}


def test_a_mark_inside_the_box_is_on_it_and_the_way_round_the_back_is_short() -> None:
    assert off_deg(BOX, 172.0, 15.0) == 0.0
    assert off_deg(BOX, -179.0, 0.0) == pytest.approx(6.0)
    assert off_deg(BOX, 170.0, 25.0) == pytest.approx(5.0)


def test_degrees_of_azimuth_are_shorter_far_from_eye_level() -> None:
    low = replace(BOX, elevation_deg=-60.0)
    assert off_deg(low, 185.0 - 360.0, -60.0) == pytest.approx(5.0)


def test_credit_falls_from_near_to_far() -> None:
    at = [175.0 + off for off in (0.0, NEAR_DEG, (NEAR_DEG + FAR_DEG) / 2, FAR_DEG, FAR_DEG + 5)]
    credits = [credit_of([replace(BOX, elevation_deg=0.0)], [(a if a <= 180 else a - 360, 0.0)])[0] for a in at]
    assert credits == [1.0, 1.0, pytest.approx(0.5), 0.0, 0.0]


def test_more_marks_than_places_cost_and_a_place_left_out_too() -> None:
    other = replace(BOX, azimuth_deg=0.0)
    assert credit_of([BOX], [(170.0, 10.0), (0.0, -40.0)])[0] == pytest.approx(0.5)
    assert credit_of([BOX, other], [(170.0, 10.0)])[0] == pytest.approx(0.5)
    assert credit_of([BOX, other], [(170.0, 10.0), (0.0, 10.0)])[0] == 1.0


def test_nothing_to_mark_is_marked_by_nothing() -> None:
    clean = task("cue", ASKS, of=known("N0"))
    assert graded(clean, {"spots": []}).credit == 1.0
    assert graded(clean, {"spots": [spot(0.0, 0.0)]}).credit == 0.0
    assert graded(task("cue", ASKS, of=known("F1")), {"spots": []}).credit == 0.0


@pytest.mark.parametrize("code", ["F1", "F5", "F10", "F16"])
def test_the_measured_places_earn_everything(code: str) -> None:
    of = known(code)
    grade = graded(task("cue", ASKS, of=of), {"spots": [spot(s.azimuth_deg, s.elevation_deg) for s in of.spots]})
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")
    assert [one.role for one in grade.spots] == ["evidence"] * len(of.spots) + ["answered"] * len(of.spots)


def test_a_box_takes_up_its_share_of_the_sphere() -> None:
    whole = replace(BOX, azimuth_deg=0.0, elevation_deg=0.0, width_deg=360.0, height_deg=180.0)
    assert box_share(whole) == pytest.approx(1.0)
    assert 0.0 < box_share(BOX) < 0.05


marks = st.lists(
    st.fixed_dictionaries({"azimuth_deg": st.floats(-180, 180), "elevation_deg": st.floats(-90, 90)}), max_size=4
)


@settings(max_examples=80, deadline=None)
@given(like("spots") | st.fixed_dictionaries({"spots": marks}))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task("cue", ASKS, of=known("F1")), answer).credit <= 1.0
