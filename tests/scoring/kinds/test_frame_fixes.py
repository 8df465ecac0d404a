"""First fixes: how far, and which way as whoever stands behind the phone sees it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scoring.kinds.causes import CAUSES
from scoring.kinds.frame_fixes import fix
from scoring.kinds.frame_words import found
from tests.scoring.kinds.looked_at import known
from tests.scoring.kinds.shipped import standard


def fixed(code: str, **values: Any) -> str:
    of = known(code)
    return fix(code, replace(of, values={**of.values, **values}).facts(standard()))


@pytest.mark.parametrize(
    ("code", "values", "words"),
    [
        ("F1", {"offset_mm": 13.0}, "13 mm back, away from what its lens looks at"),
        ("F1", {"offset_mm": -13.0}, "13 mm forward, toward what its lens looks at"),
        ("F2", {"offset_mm": 9.0}, "9 mm to the left in its clamp, as you see it from behind"),
        ("F2", {"offset_mm": -9.0}, "9 mm to the right in its clamp, as you see it from behind"),
        ("F3", {"roll_deg": 2.0, "lean_deg": 0.0}, "turned 2.0° clockwise, seen from behind"),
        ("F3", {"roll_deg": -2.0, "lean_deg": 0.0}, "turned 2.0° counter-clockwise, seen from behind"),
        ("F3", {"roll_deg": 0.0, "lean_deg": 3.0}, "leans 3.0° back, its top toward you"),
        ("F3", {"roll_deg": 0.0, "lean_deg": -3.0}, "leans 3.0° forward, its top away from you"),
        ("F4", {"tilt_deg": 2.0, "toward_deg": 250.0}, "leans by 2.0° toward azimuth \u2212110°, so raise that side"),
        ("F9", {"offset_mm": 1.2, "tilt_deg": 0.0, "toward_deg": 350.0}, "1.2 mm too far to the right"),
        ("F9", {"offset_mm": 1.2, "tilt_deg": 0.0, "toward_deg": 92.0}, "1.2 mm too far up"),
        ("F9", {"offset_mm": 0.0, "tilt_deg": 2.0, "toward_deg": 225.0}, "points 2.0° down and to the left"),
        ("F14", {"offset_ev": -2.0}, "rather than on its brightest part"),
        ("F14", {"offset_ev": 2.0}, "rather than on its darkest part"),
        ("F18", {"sun_deg": 8.0}, "higher than 30°, or draw the blind: at 8°"),
    ],
)
def test_a_fix_says_which_way(code: str, values: dict[str, Any], words: str) -> None:
    assert words in fixed(code, **values)


@pytest.mark.parametrize(
    ("code", "values", "words"),
    [
        ("F13", {"kind": "motion"}, "because the head was still turning"),
        ("F13", {"kind": "focus"}, "because the focus had not settled"),
        ("F14", {"offset_ev": -2.0}, "metered on something too bright"),
        ("F17", {"what": "curtain"}, "because the curtain moved"),
        ("F19", {"kind": "strap"}, "because a strap hangs before the lens"),
    ],
)
def test_why_it_came_about_names_this_very_way(code: str, values: dict[str, Any], words: str) -> None:
    of = known(code)
    assert words in found(code, replace(of, values={**of.values, **values}).facts(standard()))


@pytest.mark.parametrize("code", CAUSES)
def test_every_cause_has_a_first_fix_in_one_sentence_of_its_case(code: str) -> None:
    words = fixed(code)
    assert words.endswith(".")
    assert "  " not in words
    assert words != fix(code, known(code, 7).facts(standard()))
