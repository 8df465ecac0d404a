"""Numbers to keep, either or redo: as the house standard's bands say, and never one way in between."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from scoring.border import FileProblems
from scoring.floor.read import read_standard
from scoring.frame.severity import Numbers, judge, rate
from scoring.standard import FrameBands

HOUSE = Path(__file__).resolve().parents[3] / "scenarios" / "standards" / "house.json"
BANDS = FrameBands()
NAMES = [field.name for field in fields(Numbers)]


def house_with(quantity: str, bands: list[dict[str, Any]]) -> list[str]:
    body = json.loads(HOUSE.read_bytes())
    body["frames"][quantity] = bands
    with pytest.raises(FileProblems) as caught:
        read_standard(json.dumps(body).encode())
    return [str(problem) for problem in caught.value.problems]


def band(at_least: float, below: float | None, verdict: str = "keep", *, trip: bool = False) -> dict[str, Any]:
    return {"at_least": at_least, "below": below, "verdict": verdict, "trip": trip, "words": "is so"}


def test_it_measures_exactly_the_quantities_that_have_bands() -> None:
    assert [field.name for field in fields(FrameBands)] == NAMES


def test_it_ships_the_bands_that_an_older_standard_gets() -> None:
    body = json.loads(HOUSE.read_bytes())
    shipped = read_standard(json.dumps(body).encode())
    del body["frames"]
    del body["looking"]
    assert read_standard(json.dumps(body).encode()) == shipped
    assert shipped.frames == BANDS


def test_it_has_defaults_that_the_reader_itself_would_take() -> None:
    adapter = TypeAdapter(FrameBands)
    assert adapter.validate_json(adapter.dump_json(BANDS), strict=True) == BANDS


@pytest.mark.parametrize(
    ("quantity", "value", "verdict", "trip"),
    [
        ("doubling_deg", 0.149, "keep", False),
        ("doubling_deg", 0.15, "either", False),
        ("doubling_deg", 0.399, "either", False),
        ("doubling_deg", 0.4, "redo", False),
        ("doubling_deg", 1.0, "redo", True),
        ("tilt_deg", 0.49, "keep", False),
        ("tilt_deg", 0.75, "either", False),
        ("tilt_deg", 1.01, "redo", False),
        ("tilt_deg", 3.01, "redo", True),
        ("exposure_step_ev", 0.09, "keep", False),
        ("exposure_step_ev", 0.31, "redo", False),
        ("lens_height_off_m", 0.21, "redo", False),
        ("veil_share", 0.029, "keep", False),
    ],
)
def test_it_holds_to_the_bands_of_the_trade(quantity: str, value: float, verdict: str, trip: bool) -> None:
    """Edges are common practice, no source."""
    severity = judge(replace(Numbers(), **{quantity: value}), BANDS)
    assert (severity.verdict, severity.trip) == (verdict, trip)
    assert severity.of(quantity).verdict == verdict
    assert severity.of(quantity).value == value


@pytest.mark.parametrize("quantity", NAMES)
def test_it_goes_from_keep_to_redo_and_never_back(quantity: str) -> None:
    bands = getattr(BANDS, quantity)
    values = sorted({0.0, 1e5, *(b.at_least for b in bands), *(b.at_least - 1e-9 for b in bands if b.at_least)})
    order = [("keep", "either", "redo").index(rate(quantity, value, bands).verdict) for value in values]
    assert order == sorted(order)
    assert (order[0], order[-1]) == (0, 2)


def test_it_accepts_both_answers_in_between_and_one_outside() -> None:
    between = judge(Numbers(doubling_deg=0.2), BANDS)
    assert between.accepts("keep")
    assert between.accepts("redo")
    clean, spoilt = judge(Numbers(), BANDS), judge(Numbers(doubling_deg=0.2, tilt_deg=2.0), BANDS)
    assert (clean.accepts("keep"), clean.accepts("redo")) == (True, False)
    assert (spoilt.accepts("keep"), spoilt.accepts("redo")) == (False, True)


def test_it_puts_the_quantity_that_decides_first() -> None:
    severity = judge(Numbers(doubling_deg=0.5, tilt_deg=2.5, veil_share=0.05), BANDS)
    assert [r.quantity for r in severity.ratings[:3]] == ["tilt_deg", "doubling_deg", "veil_share"]
    assert severity.worst.limit == 1.0
    assert severity.of("veil_share").limit == 0.1


def test_it_leaves_out_what_could_not_be_measured() -> None:
    severity = judge(Numbers(doubling_deg=None, tilt_deg=0.2), BANDS)
    with pytest.raises(KeyError):
        severity.of("doubling_deg")
    with pytest.raises(ValueError, match="nothing was measured"):
        judge(Numbers(**dict.fromkeys(NAMES)), BANDS)


@pytest.mark.parametrize("value", [-0.1, float("nan")])
def test_it_refuses_what_no_measurement_gives(value: float) -> None:
    with pytest.raises(ValueError, match="no measurement"):
        judge(Numbers(tilt_deg=value), BANDS)


@pytest.mark.parametrize(
    ("bands", "said"),
    [
        ([band(0, 0.15), band(0.2, None, "redo")], "no band holds 0.15 to 0.2, just before band 1"),
        ([band(0.1, None)], "no band holds 0 to 0.1, just before band 0"),
        ([band(0, 0.3), band(0.2, None, "redo")], "bands 0 and 1 both hold 0.2 to 0.3"),
        ([band(0, None), band(0.2, None, "redo")], "band 1 starts at 0.2, but band 0 has no end: they overlap"),
        ([band(0, 0.15), band(0.15, 0.4, "redo")], "no band holds 0.4 and more"),
        ([band(0, 0.2), band(0.2, 0.2, "redo"), band(0.2, None, "redo")], "band 1 ends at 0.2, not after its start"),
        ([band(0, 0.2, "redo"), band(0.2, None)], "band 1 is milder than band 0"),
        ([band(0, 0.2), band(0.2, None, "either", trip=True)], "band 1 is worth a trip, so its verdict must be redo"),
    ],
)
def test_a_standard_with_a_gap_or_an_overlap_is_refused_with_its_place(bands: list[Any], said: str) -> None:
    problems = house_with("doubling_deg", bands)
    assert len(problems) == 1
    assert problems[0].startswith("frames.doubling_deg: ")
    assert said in problems[0]


def test_the_page_for_writers_quotes_what_the_check_says() -> None:
    page = (HOUSE.parents[1] / "README.md").read_text(encoding="utf-8")
    assert f"`{house_with('doubling_deg', [band(0, 0.15), band(0.2, None, 'redo')])[0]}`" in page


def test_a_band_with_a_strange_verdict_is_refused_with_its_place() -> None:
    assert house_with("tilt_deg", [band(0, None, "maybe")]) == [
        "frames.tilt_deg[0].verdict: must be 'keep', 'either' or 'redo'"
    ]
