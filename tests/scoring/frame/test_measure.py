"""Measuring a frame: numbers, verdicts and places; and nothing of what was put wrong is known past the look."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scoring.frame import measure as measure_module
from scoring.frame.look import look
from scoring.frame.measure import Measured, measure, measure_one, measured_on
from scoring.frame.measure_parts import NUMBERS
from scoring.frame.severity import Numbers, judge
from scoring.frame.signature import signature
from scoring.frame.take import Take
from scoring.standard import FrameBands, Looking
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import WIDTH_PX, measured, stage_of, studio

BANDS, LOOKING = FrameBands(), Looking()
MODULES = Path(measure_module.__file__).parent
KNOWS_NO_TAKE = sorted(path.name for path in MODULES.glob("measure_*.py"))
KNOWS_NO_TAKE += ["probe.py", "evidence.py", "severity.py", "signature.py", "lookalikes.py"]


def verdict(found: Measured, quantity: str) -> str:
    return judge(found.numbers, BANDS).of(quantity).verdict


def test_it_keeps_a_clean_frame_and_finds_it_fair_to_ask_about() -> None:
    found = measured(studio())
    severity = judge(found.numbers, BANDS)
    assert severity.verdict == "keep", severity.worst
    assert found.is_fair(LOOKING)
    assert not found.is_fair(replace(LOOKING, near_m=0.1)) or found.near_seams


def test_it_is_not_fair_without_edges_near_and_far() -> None:
    given = studio()
    far = measure(stage_of(given), given, width_px=WIDTH_PX // 2, looking=replace(LOOKING, near_m=0.3))
    plain = measure(stage_of(given), given, width_px=WIDTH_PX // 2, looking=replace(LOOKING, edge_levels=254.0))
    assert not far.is_fair(LOOKING)
    assert not plain.is_fair(LOOKING)
    assert plain.numbers.doubling_deg is None


@pytest.mark.parametrize(
    ("given", "quantity", "value", "off"),
    [
        (studio(wrong("F4", tilt_deg=2.5)), "tilt_deg", 2.5, 1e-3),
        (studio(wrong("F3", roll_deg=2.0)), "horizon_step_deg", 2.828, 1e-3),
        (studio(wrong("F7", slip_deg=2.0)), "doubling_deg", 6.0, 0.1),
        (studio(wrong("F8", missing=1)), "missing_deg", 90.0, 1.0),
        (studio(wrong("F10")), "veil_share", 0.64, 0.15),
        (studio(wrong("F11")), "veil_share", 0.72, 0.15),
        (studio(wrong("F12", veil_share=0.3)), "veil_share", 0.27, 0.05),
        (studio(wrong("F13", kind="focus", blur_deg=0.4)), "blur_deg", 0.4, 0.05),
        (studio(wrong("F13", kind="motion", blur_deg=0.4)), "blur_deg", 0.32, 0.05),
        (studio(wrong("F14", offset_ev=-2.5, brackets="one")), "dark_ev", 2.5, 0.3),
        (studio(wrong("F15", step_ev=0.7)), "exposure_step_ev", 0.7, 0.02),
        (studio(wrong("F15", step_ev=0.0, step_kelvin=800.0)), "colour_step_mired", 27.6, 2.0),
        (studio(wrong("F19", kind="height", height_m=1.1)), "lens_height_off_m", 0.4, 0.02),
    ],
    ids=lambda value: f"{value.faults[0].code}" if isinstance(value, Take) else "",
)  # fmt: skip
def test_it_measures_as_much_as_was_put_in(given: Take, quantity: str, value: float, off: float) -> None:
    """800 K about 5000 K are 200 - 172.4 mired; a smear of 0.4 deg rises over 0.8 of that from 10 to 90 %. Contrast
    lost: worst place of the maps that the light went through, of what is not white."""
    found = measured(given)
    assert getattr(found.numbers, quantity) == pytest.approx(value, abs=off)
    assert verdict(found, quantity) == "redo"
    assert found.regions_of(quantity)


@pytest.mark.parametrize(
    ("given", "share", "kept"),
    [
        (studio(), 0.0, "keep"),
        (studio(wrong("N1")), 0.024, "keep"),
        (studio(wrong("N1", veil_share=0.03)), 0.072, "either"),
        (studio(wrong("F9")), 0.0, "keep"),
        (studio(wrong("F13", kind="motion", blur_deg=0.4)), 0.0, "keep"),
    ],
    ids=["clean", "little", "even veil", "off", "smeared"],
)
def test_it_tells_of_no_more_haze_than_there_is(given: Take, share: float, kept: str) -> None:
    """An even veil of 3 % takes 7 % of contrast from the middle tone of a room with a window, by its maps."""
    found = measured(given)
    assert found.numbers.veil_share == pytest.approx(share, abs=0.03 if share == 0.0 else 0.01)
    assert verdict(found, "veil_share") == kept


def test_it_counts_a_body_at_a_seam_and_says_where_it_stands() -> None:
    found = measured(studio(wrong("F16", copies=2)))
    assert found.movers.copies_count == 2
    assert verdict(found, "copies_count") == "redo"
    assert {round(region.azimuth_deg) // 45 for region in found.regions_of("copies_count")} <= {0, 1}


def test_it_measures_headings_whose_views_are_not_equally_many_pixels_wide() -> None:
    given = studio(with_kit="heron-three")
    found = measure(stage_of(given), given, width_px=WIDTH_PX // 2)
    assert verdict(found, "veil_share") == "keep"
    assert len(found.veil.by_heading) == 3


def test_its_worst_doubling_stands_in_a_region_at_that_seam() -> None:
    found = measured(studio(wrong("F1", offset_mm=20.0)))
    worst = max((seam.worst for seam in found.seams if seam.worst), key=lambda one: one.doubling_deg)
    first = found.regions_of("doubling_deg")[0]
    assert first.value == pytest.approx(worst.doubling_deg)
    assert first.distance_m == pytest.approx(worst.distance_m)
    assert abs(first.elevation_deg - worst.elevation_deg) <= 0.5 * first.height_deg
    assert abs((first.azimuth_deg - worst.azimuth_deg + 180.0) % 360.0 - 180.0) <= 0.5 * first.width_deg


def test_its_tilt_is_pointed_at_by_uprights_and_then_where_the_horizon_stands_highest_and_lowest() -> None:
    found = measured(studio(wrong("F4", tilt_deg=2.5)))
    *uprights, high, low = found.regions_of("tilt_deg")
    assert [round(box.value, 1) for box in uprights] == [2.5, 2.5]
    assert (high.azimuth_deg, high.elevation_deg) == (pytest.approx(30.0), pytest.approx(2.5))
    assert (low.azimuth_deg, low.elevation_deg) == (pytest.approx(-150.0), pytest.approx(-2.5))


def test_a_smudge_is_pointed_at_in_every_heading() -> None:
    found = measured(studio(wrong("F10")))
    boxes = found.regions_of("veil_share")
    assert len(boxes) == 4
    assert sorted(round(box.azimuth_deg % 90.0) for box in boxes) == [round(boxes[0].azimuth_deg % 90.0)] * 4


def test_it_gives_no_seam_a_step_of_light_in_a_clean_frame() -> None:
    assert all(abs(seam.exposure_step_ev) < 0.05 for seam in measured(studio()).seams)


@pytest.mark.parametrize("code", ["F1", "F4", "F10", "F15"])
def test_hiding_what_was_put_wrong_changes_no_grade(code: str) -> None:
    given = studio(wrong(code))
    seen = look(stage_of(given), given, WIDTH_PX // 2)
    asked = measured_on(seen, LOOKING)
    hidden = tuple(replace(heading, film=type(heading.film)()) for heading in seen.spin.headings)
    blind = measured_on(replace(seen, spin=replace(seen.spin, headings=hidden)), LOOKING)
    assert judge(blind.numbers, BANDS) == judge(asked.numbers, BANDS)
    assert signature(blind, BANDS) == signature(asked, BANDS)


@pytest.mark.parametrize("module", KNOWS_NO_TAKE)
def test_what_measures_and_judges_reads_no_fault_take_or_film(module: str) -> None:
    """Where a heading really was is the simulation's geometry; its film holds what was done to the light."""
    tree = ast.parse((MODULES / module).read_text(encoding="utf-8"))
    read = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    brought = {alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names}
    assert not read & {"faults", "fault", "film", "take"}
    assert not brought & {"Take", "Fault", "Film", "FAULTS", "read_take"}


def test_each_number_alone_is_what_it_is_among_all() -> None:
    given = studio(wrong("F1"), wrong("F10"))
    every = measure(stage_of(given), given, width_px=WIDTH_PX // 2).numbers
    alone = {name: measure_one(stage_of(given), given, name, width_px=WIDTH_PX // 2) for name in NUMBERS}
    assert Numbers(**alone) == every
    assert min(alone["doubling_deg"] or 0.0, alone["veil_share"] or 0.0) > 0.0


def test_it_is_the_same_again() -> None:
    given = studio(wrong("F6"))
    first, second = (measure(stage_of(given), given, width_px=WIDTH_PX // 2) for _ in range(2))
    assert first.numbers == second.numbers
    assert first.regions == second.regions
    assert all(np.array_equal(a, b, equal_nan=True) for a, b in zip(first.points, second.points, strict=True))
