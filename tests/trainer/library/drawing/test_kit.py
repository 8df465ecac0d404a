"""The kit drawn with a cause: a picture of its own for each, inside its paper, turned the way the fault is."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import pytest
from defusedxml.ElementTree import fromstring

from scoring.kinds.causes import CAUSES
from scoring.kinds.fault_draw import draw_fault
from scoring.kinds.frame_fixes import fix
from tests.scoring.kinds.looked_at import KIT, known
from tests.scoring.kinds.shipped import standard
from trainer.library.drawing.kit import draw_kit, kit_words
from trainer.library.drawing.kit_caption import kit_caption
from trainer.library.drawing.kit_pen import HIGH, WIDE

KINDS = {"F13": ("focus", "motion"), "F19": ("height", "finger", "strap", "self")}
HERE = "in the hall at (x 1.0, y 2.0)"
LETTER_PX = 6.4
"""A letter in the drawing's type, on the average."""


def test_every_cause_has_a_picture_of_its_own() -> None:
    pictures = {code: draw_kit(code, {}) for code in CAUSES}
    assert len(set(pictures.values())) == len(CAUSES)
    assert len({kit_words(code, {}) for code in CAUSES}) == len(CAUSES)


@pytest.mark.parametrize("code", list(CAUSES))
def test_a_picture_is_well_formed_named_and_without_looks_of_its_own(code: str) -> None:
    picture = draw_kit(code, {})
    root = fromstring(picture)
    assert root.get("role") == "img"
    assert root.get("aria-label") == kit_words(code, {})
    assert "style=" not in picture


@pytest.mark.parametrize("code", list(CAUSES))
def test_words_stay_on_the_paper(code: str) -> None:
    for text in fromstring(draw_kit(code, {})).iter("text"):
        wide = LETTER_PX * len(text.text or "")
        x, y = float(text.get("x", "nan")), float(text.get("y", "nan"))
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "")] * wide
        assert left >= 0.0, text.text
        assert left + wide <= WIDE, text.text
        assert 12.0 <= y <= HIGH, text.text


@pytest.mark.parametrize(
    ("code", "name"), [("F1", "offset_mm"), ("F2", "offset_mm"), ("F3", "roll_deg"), ("F3", "lean_deg")]
)
def test_the_other_sign_is_drawn_the_other_way(code: str, name: str) -> None:
    assert draw_kit(code, {name: 5.0}) != draw_kit(code, {name: -5.0})


@pytest.mark.parametrize(
    ("code", "offset_mm", "words", "way"),
    [
        ("F1", 13.0, "in front of the axis", "back, away from"),
        ("F1", -13.0, "behind the axis", "forward, toward"),
        ("F2", 13.0, "to the right of the axis", "to the left"),
        ("F2", -13.0, "to the left of the axis", "to the right"),
    ],
)
def test_the_arrow_goes_the_way_that_the_first_fix_says(code: str, offset_mm: float, words: str, way: str) -> None:
    """The sheet is seen from above and the lens looks up it: forward is up, the right of who stands behind is right."""
    of = known(code)
    assert way in fix(code, replace(of, values={"offset_mm": offset_mm}).facts(standard()))
    assert words in kit_caption(code, {"offset_mm": offset_mm}, HERE)
    picture = draw_kit(code, {"offset_mm": offset_mm})
    assert "looks this way" in picture
    paths = [part.get("d", "") for part in fromstring(picture).iter("path") if part.get("class") == "mend"]
    (x0, y0), (x1, y1) = (map(float, end.split()) for end in paths[0].removeprefix("M").split("L"))
    along = {"back": y1 - y0, "forward": y0 - y1, "to the left": x0 - x1, "to the right": x1 - x0}[way.split(",")[0]]
    assert along > 20.0


@pytest.mark.parametrize(("toward_deg", "right"), [(0.0, True), (180.0, False)])
def test_grease_lies_on_the_side_that_a_heading_shows_it_on(toward_deg: float, right: bool) -> None:
    """The lens is drawn about x = 130; the fault's direction is told as from behind, 0 to the right."""
    picture = fromstring(draw_kit("F10", {"toward_deg": toward_deg}))
    wiped = [part.get("d", "") for part in picture.iter("path") if part.get("class") == "grease"]
    ends = [float(x) for path in wiped for x in re.findall(r"[ML]([\d.]+)", path)]
    assert (sum(ends) / len(ends) > 130.0) == right


@pytest.mark.parametrize(("code", "name", "values"), [
    ("F13", "kind", ("focus", "motion")), ("F19", "kind", ("height", "finger", "self")),
    ("F9", "tilt_deg", (0.0, 4.0)), ("F14", "offset_ev", (-2.0, 2.0)),
])  # fmt: skip
def test_kinds_of_one_fault_are_drawn_each_its_own_way(code: str, name: str, values: tuple[object, ...]) -> None:
    assert len({draw_kit(code, {name: value}) for value in values}) == len(values)  # type: ignore[dict-item]


@pytest.mark.parametrize(("code", "kind"), [(code, kind) for code in CAUSES for kind in KINDS.get(code, ("",))])
def test_a_caption_speaks_of_dashed_lines_where_there_are_some_and_nowhere_else(code: str, kind: str) -> None:
    picture, caption = draw_kit(code, {"kind": kind}), kit_caption(code, {"kind": kind}, HERE)
    assert caption.startswith(kit_words(code, {"kind": kind}))
    assert ("dashed" in caption) == ('class="place"' in picture)


@pytest.mark.parametrize("code", [code for code in CAUSES if code != "N0"])
def test_a_caption_tells_by_how_much_it_was_off_and_where(code: str) -> None:
    drawn = [draw_fault(code, KIT, Random(seed)).values for seed in range(12)]
    sized = [values for values in drawn if code != "F19" or values["kind"] == "height"]
    for values in sized:
        before = kit_caption(code, values, HERE).partition(f", {HERE}; ")[0]
        size = before.removeprefix(kit_words(code, values))
        assert re.search(r"\d", size), (code, values)
    assert sized
    assert kit_caption("F2", {"offset_mm": -12.34}, HERE) == (
        "From above: the lens to the left of the axis, by 12.3 mm, in the hall at (x 1.0, y 2.0); "
        "drawn larger than it was, dashed is where it belongs."
    )


def test_a_caption_of_nothing_wrong_names_its_place() -> None:
    said = kit_caption("N0", {}, HERE)
    assert said.endswith(f"or as near to it as matters {HERE}.")


def test_who_is_cut_at_a_seam_is_drawn_once_and_on_one_side_of_it() -> None:
    cut, twice = ({"copies": copies} for copies in (1.0, 2.0))
    assert "two headings" not in kit_caption("F16", cut, HERE)
    assert "two headings" in kit_caption("F16", twice, HERE)
    seam = 160.0
    bodies = [
        [float(at) for at in re.findall(r"[ML]?([\d.]+) [\d.]+", part.get("d", ""))]
        for part in fromstring(draw_kit("F16", cut)).iter("path")
        if part.get("class") == "part"
    ]
    assert bodies
    assert all(x <= seam for body in bodies for x in body)
    assert draw_kit("F16", cut).count('class="part"') == 2
    assert draw_kit("F16", twice).count('class="part"') == 4
