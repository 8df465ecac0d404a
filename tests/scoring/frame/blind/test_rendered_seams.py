"""Doubling on rendered frames, with the soft seam of a merger: nothing is told that the frames do not bear out."""

from __future__ import annotations

import pytest

from scoring.frame.blind.seams import find_seams
from scoring.frame.blind.sphere import CannotTell
from scoring.frame.shoot import shoot
from scoring.frame.take import Fault
from tests.scoring.frame.even_rooms import even_stage
from tests.scoring.frame.spins import take, wrong

WIDTH_PX = 2048
GROSS = (
    wrong("F1", offset_mm=40.0), wrong("F3", roll_deg=3.0), wrong("F5", shift_mm=60.0, yaw_deg=2.0),
    wrong("F7", slip_deg=3.0),
)  # fmt: skip


@pytest.mark.parametrize("fault", [None, *GROSS], ids=lambda fault: fault.code if fault else "clean")
def test_a_soft_seam_is_never_said_to_be_without_doubling(fault: Fault | None) -> None:
    given = take(*(() if fault is None else (fault,)))
    assert isinstance(find_seams(shoot(even_stage(given), given, WIDTH_PX).rgb, given.kit.headings), CannotTell)
