"""What tells in a frame: equal steps of a repeat, near and far edges at the seams, and what nothing was found in."""

from __future__ import annotations

import re
from dataclasses import asdict, fields, replace
from itertools import pairwise

import pytest

from scoring.drill import Mark
from scoring.frame.severity import Numbers
from scoring.kinds.frame_key import Known, SeamFound, known_json, known_of
from scoring.kinds.frame_signs import LOOKED_AT, repeated, shown_spots, sign_marks
from scoring.kinds.frame_words import found
from tests.scoring.kinds.looked_at import known, signed, task
from tests.scoring.kinds.shipped import parts, standard, stored, tasks


def told(of: Known) -> dict[str, Mark]:
    return {mark.criterion: mark for mark in sign_marks(of, of.facts(standard()), standard())}


def degrees(words: str) -> list[float]:
    return [float(one.replace("\u2212", "-")) for one in re.findall(r"([+\u2212]?[\d.]+)°", words)]


@pytest.mark.parametrize("code", ["F9", "F10"])
def test_of_what_sits_on_the_lens_it_lists_every_place_at_equal_steps(code: str) -> None:
    of = signed(known(code, 3))
    mark = told(of)["again"]
    *at, step = degrees(mark.words)
    assert len(at) == len(mark.spots) == of.headings
    assert step == 360.0 / of.headings
    assert [b - a for a, b in pairwise(at)] == pytest.approx([step] * (len(at) - 1), abs=1.0)
    places = sorted(place.azimuth_deg for place in of.places)
    assert at == pytest.approx(places, abs=0.51)


def test_a_grade_points_at_the_worst_places_first_and_then_at_the_rest_of_a_repeat() -> None:
    of = signed(known("F9", 3))
    shown = shown_spots(of, of.facts(standard()))
    assert shown[: len(of.spots)] == of.spots
    assert [spot.label for spot in shown] == [str(number) for number in range(1, len(shown) + 1)]
    at = [(spot.azimuth_deg, spot.elevation_deg) for spot in shown]
    assert len(set(at)) == len(at)
    assert {(place.azimuth_deg, place.elevation_deg) for place in of.places} <= set(at)


def test_what_is_not_at_every_step_is_no_repeat() -> None:
    of = signed(known("F10", 3))
    facts = of.facts(standard())
    assert not repeated(replace(of, places=of.places[:-1]), facts)
    aside = replace(of.places[1], azimuth_deg=of.places[1].azimuth_deg + 5.0)
    assert not repeated(replace(of, places=(of.places[0], aside, *of.places[2:])), facts)
    assert shown_spots(replace(of, places=()), facts) == of.spots


def test_haze_toward_a_source_says_where_a_smudge_would_come_again() -> None:
    of = signed(known("F12", 1))
    at = of.spots[0].azimuth_deg
    said = degrees(told(of)["again"].words.partition("; ")[2])[: of.headings - 1]
    assert len(said) == of.headings - 1
    for other in said:
        step = (other - at) % 90.0
        assert min(step, 90.0 - step) <= 0.51
        assert abs((other - at + 180.0) % 360.0 - 180.0) > 45.0


@pytest.mark.parametrize("code", ["F10", "F11", "F12"])
def test_of_haze_it_says_what_becomes_of_dark_and_light_where_it_is_plainest(code: str) -> None:
    of = signed(known(code, 2))
    assert of.haze is not None
    mark = told(of)["haze"]
    (dark, light), (now_dark, _) = of.haze.clean_levels, of.haze.seen_levels
    assert f"dark tones stand at {now_dark:.0f} instead of {dark:.0f}" in mark.words
    assert f"light ones at {light:.0f} as through a clean lens" in mark.words
    dimmed = replace(of.haze, seen_levels=(now_dark, light - 9.0))
    words = told(replace(of, haze=dimmed))["haze"].words
    assert f"light ones at {light - 9.0:.0f} instead of {light:.0f}" in words
    assert mark.spots == of.spots[:1]
    assert ", plainest at azimuth" in of.facts(standard()).at


def test_haze_where_all_is_bare_is_said_to_be_hidden() -> None:
    of = signed(known("F11", 2))
    assert of.haze is not None
    bare = replace(of.haze, clean_levels=(180.0, 190.0), seen_levels=(186.0, 190.0))
    words = told(replace(of, haze=bare))["haze"].words
    assert "hides it" in words
    assert "of 10 levels between them 4 are left" in words


def test_of_a_tilt_it_names_an_upright_on_either_side_and_which_way_each_leans() -> None:
    of = signed(known("F4", 2))
    mark = told(of)["uprights"]
    for one, side in zip(of.uprights, ("left", "right"), strict=True):
        assert f"leans {abs(one.lean_deg):.1f}° to the {side}" in mark.words
    assert mark.spots == of.spots[:2]
    assert f"where an upright leans {abs(of.uprights[0].lean_deg):.1f}° to the left" in found(
        "F4", of.facts(standard())
    )


def test_a_tilt_without_uprights_says_where_they_would_lean_most() -> None:
    of = replace(signed(known("F4", 2)), uprights=())
    assert "uprights" not in told(of)
    assert "uprights lean most at azimuth" in found("F4", of.facts(standard()))


@pytest.mark.parametrize("code", ["F4", "F10"])
def test_what_shows_it_best_is_kept_in_the_key(code: str) -> None:
    of = signed(known(code, 3))
    assert known_of(stored(task("cause", {}, of=of))) == of


def test_near_and_far_edges_are_told_worst_first_where_the_lens_is_off_the_axis() -> None:
    of = signed(known("F1", 2))
    words = told(of)["near-far"].words
    worst_first = sorted(of.seams, key=lambda seam: -(seam.doubling_deg or 0.0))
    listed = re.findall(r"([\d.]+)° on an edge ([\d.]+) m away", words)
    assert [(float(deg), float(m)) for deg, m in listed] == [
        (round(seam.doubling_deg or 0.0, 2), round(seam.away_m or 0.0, 1)) for seam in worst_first
    ]
    assert "the nearer a thing stands, the more it is doubled" in words


@pytest.mark.parametrize(("turn_deg", "at_rim"), [(0.0, False), (45.0, True)])
def test_a_seam_at_the_rim_of_the_flat_frame_is_said(turn_deg: float, at_rim: bool) -> None:
    of = signed(known("F1", 2))
    assert {seam.azimuth_deg % 90.0 for seam in of.seams} == {45.0}
    turned = tuple(replace(seam, azimuth_deg=seam.azimuth_deg + turn_deg) for seam in of.seams)
    good = signed(known("N0", 1))
    for frame in (of, good):
        marks = told(replace(frame, seams=turned))
        assert ("rim" in marks) == at_rim
        assert not at_rim or f"One of the {len(turned)} seams" in marks["rim"].words


def test_where_nothing_near_stands_it_says_that_nothing_can_double() -> None:
    of = signed(known("F1", 2))
    bare = SeamFound(60.0, 0.0, 0.05, 0.0, away_m=5.2, near_m=5.2, far_m=7.0, far_deg=0.04)
    words = told(replace(of, seams=(*of.seams[:3], bare)))["near-far"].words
    assert "At azimuth +60° no edge stands nearer than 5.2 m" in words
    assert "(0.05° at most)" in words


def test_where_one_seam_and_the_closing_one_are_off_it_names_a_near_edge_that_meets() -> None:
    of = signed(known("F5", 1))
    words = told(of)["near-far"].words
    still = min((seam for seam in of.seams[2:]), key=lambda seam: seam.near_m or 0.0)
    assert f"though an edge stands {still.near_m:.1f} m away, which a lens off the axis would double" in words


def test_the_same_near_and_far_is_said_where_distance_has_no_say() -> None:
    assert "far things are off as much as near ones" in told(signed(known("F7", 1)))["near-far"].words


def test_of_a_second_fault_that_doubles_nothing_it_says_nothing_of_seams() -> None:
    both = signed(known("F1", 1))
    hazy = replace(both, code="F10", numbers=replace(known("F10").numbers, doubling_deg=None))
    assert "near-far" not in told(hazy)
    assert "near-far" in told(both)


def test_nothing_wrong_says_what_was_looked_at_in_turn_with_each_limit() -> None:
    of = signed(known("N1", 4))
    of = replace(of, numbers=replace(of.numbers, doubling_deg=0.11, tilt_deg=0.2, veil_share=0.02))
    words = told(of)["looked"].words
    bands = standard().frames
    for value, limit in (
        ("0.11°", f"{bands.doubling_deg[0].below:.2f}°"),
        ("0.20°", f"{bands.tilt_deg[0].below:.2f}°"),
        ("2.00 %", f"{100.0 * (bands.veil_share[0].below or 0.0):.2f} %"),
    ):
        assert re.search(f"{re.escape(value)}[^;]*\\({re.escape(limit)}\\)", words), words
    assert all(where in words for where, _ in LOOKED_AT)


def test_everything_that_is_measured_is_looked_at_once() -> None:
    looked = [quantity for _, quantities in LOOKED_AT for quantity in quantities]
    assert sorted(looked) == sorted(field.name for field in fields(Numbers))


def test_an_older_key_without_distances_is_read_and_says_nothing_of_them() -> None:
    one = task("cause", {}, of=signed(known("F1", 1)))
    for seam in one.key["known"]["seams"]:
        for name in ("away_m", "near_m", "far_m", "far_deg"):
            del seam[name]
    del one.key["known"]["places"]
    of = known_of(one)
    assert {seam.away_m for seam in of.seams} == {None}
    assert not told(of)


def test_a_made_case_knows_near_and_far_edges_of_every_seam() -> None:
    (one,) = tasks("cause-hazy-flat", 1)
    of = known_of(one)
    assert of.headings == len(of.seams) == parts("cause-hazy-flat")[2].headings
    for seam in of.seams:
        if seam.doubling_deg is not None:
            assert (seam.near_m or 0.0) <= (seam.away_m or 0.0) <= (seam.far_m or 0.0)
            assert (seam.far_deg or 0.0) <= seam.doubling_deg
    assert known_json(of)["seams"] == [asdict(seam) for seam in of.seams]
