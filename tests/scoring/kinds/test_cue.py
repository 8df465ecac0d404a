"""Cue: marks on the sphere against the places that were measured; sprinkling marks does not pay."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.drill import AnswerError, Spot
from scoring.frame.evidence import Region
from scoring.frame.severity import judge
from scoring.frame.take import Take
from scoring.kinds.cue import FAR_DEG, NEAR_DEG, SPREAD_MOST, at_a_seam, credit_of, off_deg, spread
from scoring.kinds.frame_places import places_of, shows_everywhere
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import measured, studio
from tests.scoring.kinds.looked_at import known, task
from tests.scoring.kinds.shipped import graded, like, standard

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


def test_one_right_mark_is_enough_whichever_place_it_is_on_and_each_wrong_one_costs_its_share() -> None:
    other = replace(BOX, azimuth_deg=0.0)
    assert credit_of([BOX], [(170.0, 10.0), (0.0, -40.0)])[0] == pytest.approx(0.5)
    assert credit_of([BOX], [(170.0, 10.0), (0.0, -40.0), (60.0, 0.0)])[0] == pytest.approx(1.0 / 3.0)
    for marked in ([(170.0, 10.0)], [(0.0, 10.0)], [(170.0, 10.0), (0.0, 10.0)], [(170.0, 10.0), (172.0, 15.0)]):
        assert credit_of([BOX, other], marked)[0] == 1.0


TAKES: dict[str, Take] = {
    "F1": studio(wrong("F1", offset_mm=20.0)),
    "F3 roll": studio(wrong("F3", roll_deg=2.0)),
    "F9": studio(wrong("F9", offset_mm=1.0)),
    "F10": studio(wrong("F10")),
    "F13": studio(wrong("F13", kind="focus", blur_deg=0.6, heading=2)),
}


def looked_at(given: Take) -> tuple[Any, list[Region], tuple[Spot, ...]]:
    """A case of what is measured on a take, every region whose quantity is out of its lowest band, and the places."""
    found = measured(given)
    severity = judge(found.numbers, standard().frames)
    out = {rating.quantity for rating in severity.ratings if rating.verdict != "keep"}
    places = tuple(
        Spot("evidence", "frame", one.azimuth_deg, one.elevation_deg, one.width_deg, one.height_deg, str(number))
        for number, one in enumerate(places_of(found, severity, standard().frames), 1)
    )
    of = replace(known(given.faults[0].code), numbers=found.numbers, spots=places[:3], places=places)
    return task("cue", ASKS, of=of), [region for region in found.regions if region.quantity in out], places


@pytest.mark.parametrize("code", TAKES)
def test_every_place_that_shows_it_is_right_alone(code: str) -> None:
    case, regions, places = looked_at(TAKES[code])
    assert len(regions) >= 1
    redo_deg = next(band.at_least for band in standard().frames.doubling_deg if band.verdict == "redo")
    points = measured(TAKES[code]).points
    points = points.where(points.shows & (points.doubling_deg >= redo_deg))
    middles = [(one.azimuth_deg, one.elevation_deg) for one in regions]
    middles += [(one.azimuth_deg, one.elevation_deg) for one in places]
    doubled = [(float(azimuth + 180.0) % 360.0 - 180.0, float(up)) for azimuth, up in zip(*points[1:3], strict=True)]
    for azimuth, elevation in (*middles, *doubled):
        grade = graded(case, {"spots": [spot(azimuth, elevation)]})
        assert (grade.credit, grade.verdict) == (1.0, "holds"), (azimuth, elevation)
    assert [one.label for one in grade.spots if one.role == "evidence"] == [place.label for place in places]


@pytest.mark.parametrize("code", TAKES)
def test_a_mark_elsewhere_earns_nothing(code: str) -> None:
    case, _, places = looked_at(TAKES[code])
    azimuth, elevation = (
        axis.ravel() for axis in np.meshgrid(np.arange(-178.0, 180.0, 4.0), np.arange(-80.0, 81.0, 4.0))
    )
    off = np.min([off_deg(place, azimuth, elevation) for place in places], axis=0)
    elsewhere = np.nonzero(off >= FAR_DEG)[0]
    assert len(elsewhere) > 100
    for i in elsewhere[:: len(elsewhere) // 10]:
        grade = graded(case, {"spots": [spot(float(azimuth[i]), float(elevation[i]))]})
        assert (grade.credit, grade.verdict) == (0.0, "fails")


def test_the_same_smudge_is_right_in_every_heading() -> None:
    _, _, places = looked_at(TAKES["F10"])
    assert sorted((place.azimuth_deg - places[0].azimuth_deg) % 360.0 for place in places[:4]) == [
        0.0,
        90.0,
        180.0,
        270.0,
    ]


def test_one_soft_heading_is_a_place_and_a_frame_soft_all_over_is_none() -> None:
    _, _, (place,) = looked_at(TAKES["F13"])
    assert (place.azimuth_deg, place.width_deg) == (90.0, 90.0)
    for take in (studio(wrong("F13", kind="focus", blur_deg=0.4)), studio(wrong("F4", tilt_deg=2.5))):
        found = measured(take)
        severity = judge(found.numbers, standard().frames)
        assert shows_everywhere(found, severity)
        assert places_of(found, severity, standard().frames) == ()


def test_nothing_wrong_has_no_place() -> None:
    found = measured(studio())
    assert places_of(found, judge(found.numbers, standard().frames), standard().frames) == ()


def test_a_case_that_was_stored_without_its_places_is_graded_by_its_spots() -> None:
    case = task("cue", ASKS, of=known("F1"))
    del case.key["known"]["places"]
    for one in known("F1").spots:
        assert graded(case, {"spots": [spot(one.azimuth_deg, one.elevation_deg)]}).credit == 1.0


def test_half_of_the_marks_right_is_worth_a_second_look_and_less_fails() -> None:
    case, right = task("cue", ASKS, of=known("F1")), known("F1").spots[0]
    on, off = spot(right.azimuth_deg, right.elevation_deg), spot(right.azimuth_deg, 80.0)
    verdicts = [graded(case, {"spots": spots}).verdict for spots in ([on], [on, off], [on, off, off], [off])]
    assert verdicts == ["holds", "look-again", "fails", "fails"]


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


def test_marks_at_random_earn_what_the_floor_says() -> None:
    rng = np.random.default_rng(7)
    azimuth, elevation = rng.uniform(-180.0, 180.0, 40_000), np.degrees(np.arcsin(rng.uniform(-1.0, 1.0, 40_000)))
    for code in ("F3 roll", "F10"):
        _, _, places = looked_at(TAKES[code])
        full, mean = spread(places)
        earned = credit_of(places, list(zip(azimuth, elevation, strict=True)))
        assert earned[0] == pytest.approx(mean, abs=0.01)
        assert float(np.mean(np.array(earned[1]) <= NEAR_DEG)) == pytest.approx(full, abs=0.01)
        assert full < SPREAD_MOST
    whole = replace(BOX, azimuth_deg=0.0, elevation_deg=0.0, width_deg=360.0, height_deg=180.0)
    assert spread([whole]) == pytest.approx((1.0, 1.0))
    assert spread([]) == (0.0, 0.0)


def test_a_mark_put_blindly_at_a_seam_earns_what_the_floor_says() -> None:
    _, _, places = looked_at(TAKES["F3 roll"])
    blind = at_a_seam(places, 4)
    for elevation in (0.0, -35.0, -60.0):
        earned = [credit_of(places, [(azimuth, elevation)])[0] for azimuth in (45.0, 135.0, -135.0, -45.0)]
        assert np.mean(earned) <= blind + 1e-9
    assert at_a_seam([replace(BOX, azimuth_deg=45.0)], 4) == pytest.approx(0.25)
    assert at_a_seam([], 4) == 0.0


marks = st.lists(
    st.fixed_dictionaries({"azimuth_deg": st.floats(-180, 180), "elevation_deg": st.floats(-90, 90)}), max_size=4
)


@settings(max_examples=80, deadline=None)
@given(like("spots") | st.fixed_dictionaries({"spots": marks}))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task("cue", ASKS, of=known("F1")), answer).credit <= 1.0
