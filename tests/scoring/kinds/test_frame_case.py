"""Making a frame case: what a frame shows decides, whatever other ways its fault could have shown."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.picture import heading_picture
from scoring.frame.signature import signature
from scoring.frame.take import Fault
from scoring.kinds.fault_draw import grown
from scoring.kinds.frame_case import PLAINER, SHOWS_AS, cue_of
from scoring.kinds.heading import SHOWN_LEVELS, SHOWN_PX, shown_levels
from scoring.standard import FrameBands
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import measured, stage_of, studio
from tests.scoring.kinds.shipped import graded, parts, standard, stored


def test_one_heading_smeared_is_read_as_a_smear_and_one_out_of_focus_is_not() -> None:
    for kind, cue in (("motion", "smear"), ("focus", "no-detail")):
        given = studio(wrong("F13", kind=kind, blur_deg=0.6, heading=2))
        read = signature(measured(given), FrameBands())
        assert (read.soft, read.smeared) == ("some", kind == "motion")
        assert cue_of("F13", given, read) == cue


@pytest.mark.parametrize(("offset_ev", "cue"), [(-2.5, "near-black"), (2.0, "flat-white")])
def test_a_frame_too_dark_or_too_bright_has_the_cue_that_decides(offset_ev: float, cue: str) -> None:
    given = studio(wrong("F14", offset_ev=offset_ev, brackets="one"))
    assert cue_of("F14", given, signature(measured(given), FrameBands())) == cue


def test_a_fault_in_one_heading_shows_in_that_heading_alone() -> None:
    faulty, clean = studio(wrong("F13", kind="focus", blur_deg=0.6, heading=2)), studio()
    shown = [
        shown_levels(*(heading_picture(stage_of(one), one, index, SHOWN_PX) for one in (faulty, clean)))
        for index in range(3)
    ]
    assert shown[1] >= SHOWN_LEVELS
    assert (shown[0], shown[2]) == (0.0, 0.0)
    assert shown_levels(np.zeros((4, 4, 3), np.uint8), np.full((4, 4, 3), 20, np.uint8)) == 20.0


@pytest.mark.parametrize("code", ["F4", "F5", "F9", "F10"])
def test_a_fault_that_is_there_again_has_another_size_and_the_same_direction(code: str) -> None:
    fault = Fault(code, {})  # type: ignore[arg-type]
    again = grown(fault, 0.9)
    turned = [name for name in again if name in {"toward_deg", "off_axis_deg", "grain_deg"}]
    assert turned
    assert all(again[name] == fault.values[name] for name in turned)
    assert [name for name in again if again[name] != fault.values[name]]


def test_a_second_fault_shows_plainly_and_its_fix_speaks_of_its_own_numbers() -> None:
    from scoring.kinds import kind

    task = kind("change").make(*parts("change-doubled-flat"), standard(), 12)
    before, after = task.key["known"], task.key["after"]
    assert task.key["proved"] == "second"
    assert {spot["frame"] for spot in before["spots"]} == {"before"}
    assert {spot["frame"] for spot in after["spots"]} == {"after"}
    both, added = task.key["takes"]["before"]["faults"], before["values"]
    assert [one["values"] for one in both if one["code"] == before["code"]] == [added]
    own = {name: value for name, value in before["numbers"].items() if value is not None}
    assert own.keys() <= SHOWS_AS[before["code"]]
    worst = max(own, key=lambda name: own[name] / max(after["numbers"][name], 1e-3))
    assert own[worst] >= PLAINER * after["numbers"][worst]
    right = {"proved": "second", "cause": before["code"]}
    assert graded(stored(task), right).credit == pytest.approx(1.0)
