"""Where a kit's entrance pupil sits is told by sides, not by signs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scoring.rig.kit import Kit
from trainer.library.files import read_file
from trainer.library.kits import pupil_words

KITS = Path(__file__).resolve().parents[3] / "scenarios" / "kits"


@pytest.mark.parametrize(
    ("forward_mm", "side_mm", "words"),
    [
        (2.5, 0.0, "2.5\u00a0mm ahead"),
        (-4.0, 12.0, "4.0\u00a0mm behind and 12.0\u00a0mm to the right"),
        (0.0, -6.5, "6.5\u00a0mm to the left"),
        (0.0, 0.0, "over the axis"),
    ],
)
def test_it_names_the_side(forward_mm: float, side_mm: float, words: str) -> None:
    kit = read_file(next(KITS.glob("*.json")))
    assert isinstance(kit, Kit)
    assert pupil_words(replace(kit, pupil_forward_mm=forward_mm, pupil_side_mm=side_mm)) == words
