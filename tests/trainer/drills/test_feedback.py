"""What the page of a graded frame shows beside its marks: bands with a tick, and where seams lie."""

from __future__ import annotations

import re
from dataclasses import asdict

import pytest

from scoring.kinds.frame_key import SeamFound
from scoring.kinds.frame_signs import LOOKED_AT, sign_marks
from scoring.kinds.frame_words import QUANTITIES
from tests.scoring.kinds.looked_at import known, signed
from tests.scoring.kinds.shipped import standard
from trainer.drills.feedback import band_scale, seam_rows, with_rows
from trainer.drills.frames import seams_deg
from trainer.drills.models import Attempt


def tick_of(scale: str) -> float:
    found = re.search(r'd="M([\d.]+) 12V34', scale)
    assert found is not None
    return float(found[1])


@pytest.mark.parametrize("quantity", list(QUANTITIES))
def test_a_tick_stands_in_the_band_that_holds_the_value(quantity: str) -> None:
    bands = getattr(standard().frames, quantity)
    factor = QUANTITIES[quantity][2]
    for index, band in enumerate(bands):
        above = band.below if band.below is not None else 2.0 * band.at_least + 1.0
        scale = band_scale(f"number-{quantity}", factor * (band.at_least + above) / 2.0, standard())
        drawn = re.findall(r'<rect x="([\d.]+)" y="18" width="([\d.]+)" height="12" class="band (\w+)"', scale)
        assert len(drawn) == len(bands), scale
        left, wide, verdict = drawn[index]
        assert verdict == band.verdict
        assert float(left) - 0.1 <= tick_of(scale) <= float(left) + float(wide) + 0.1


def test_a_scale_says_its_bands_in_words() -> None:
    assert 'aria-label="0 to 0.15: keep; 0.15 to 0.4: keep or redo; 0.4 to 1: redo; from 1: redo"' in band_scale(
        "number-doubling_deg", 0.3, standard()
    )


def test_what_has_no_bands_has_no_scale() -> None:
    assert band_scale("cause", 1.0, standard()) == ""


def test_seams_lie_half_way_between_headings() -> None:
    assert seams_deg(4) == [-135, -45, 45, 135]
    assert seams_deg(3) == [-180, -60, 60]
    assert seams_deg(6) == [-150, -90, -30, 30, 90, 150]


def test_seams_are_listed_worst_first_with_how_far_their_edges_stand() -> None:
    seams = [
        SeamFound(-180.0, -20.0, 0.31, 0.0, away_m=2.4, near_m=2.4, far_m=5.0, far_deg=0.1),
        SeamFound(60.0, -30.0, 1.25, 0.0, away_m=0.84, near_m=0.84, far_m=3.94, far_deg=0.27, mean_deg=0.52),
        SeamFound(-60.0, 0.0, None, 0.0),
    ]
    rows = seam_rows(Attempt(key={"known": {"seams": [asdict(seam) for seam in seams]}}))
    assert [(row.at, row.most, row.far) for row in rows] == [
        ("+60°", "1.25°, 0.8 m", "0.27°, 3.9 m"),
        ("+180°", "0.31°, 2.4 m", "0.10°, 5.0 m"),
        ("\u221260°", "no edge there", ""),
    ]
    assert [row.number for row in rows] == [3, 1, 2]
    assert [row.mean for row in rows] == ["0.52°", "", ""]


def test_seams_of_an_older_case_are_listed_without_distances() -> None:
    seam = {"azimuth_deg": 45.0, "elevation_deg": -3.0, "doubling_deg": 0.5, "horizon_step_deg": 0.0}
    (row,) = seam_rows(Attempt(key={"known": {"seams": [seam]}}))
    assert (row.at, row.most, row.far, row.mean) == ("+45°", "0.50°", "", "")


def test_what_was_looked_at_has_a_row_for_each_thing_looked_at() -> None:
    of = signed(known("N1", 1))
    (mark,) = sign_marks(of, of.facts(standard()), standard())
    ((_, told),) = with_rows([(1, asdict(mark))])
    assert len(told["rows"]) == len(LOOKED_AT)
    assert all(row.startswith(where) for row, (where, _) in zip(told["rows"], LOOKED_AT, strict=True))
    assert told["words"].startswith("Once round in ")


def test_seams_before_and_after_a_change_have_a_row_for_each_seam() -> None:
    mark = {"criterion": "seams", "words": "How far each seam is off: azimuth 0°, 1° before; azimuth 90°, 2° before."}
    ((_, told),) = with_rows([(1, mark)])
    assert (told["words"], told["rows"]) == (
        "How far each seam is off:",
        ["azimuth 0°, 1° before", "azimuth 90°, 2° before"],
    )
