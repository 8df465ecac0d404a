"""What the page of a graded frame shows beside its marks: bands with a tick, and where seams lie."""

from __future__ import annotations

import re

import pytest

from scoring.kinds.frame_words import QUANTITIES
from tests.scoring.kinds.shipped import standard
from trainer.drills.feedback import band_scale
from trainer.drills.frames import seams_deg


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
