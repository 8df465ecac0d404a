"""What is kept from the small frame to one number and from that to all numbers is what each would make by itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scoring.frame.measure import measure
from scoring.frame.shoot import shoot
from scoring.frame.take import read_take
from trainer.renders.exposing import expose, small_frame
from trainer.renders.metering import WIDTH_PX, measured_on, number_here, number_on
from trainer.renders.setups import setup_of, take_json_of
from trainer.renders.stages import stage_of

pytestmark = pytest.mark.django_db
F10 = {"room": "0/den", "light": "cloud", "fault": "F10", "contrast_loss": "0.3"}
OTHER = {**F10, "contrast_loss": "0.5"}


@pytest.fixture(autouse=True)
def shelved(settings: Any, tmp_path: Path, stocked: Any) -> None:
    settings.VAR = tmp_path


def test_a_number_that_others_follow_is_the_one_that_is_measured_alone() -> None:
    take, other = (take_json_of(setup_of(fields)) for fields in (F10, OTHER))
    for quantity in ("veil_share", "doubling_deg", "tilt_deg"):
        here = number_here(take, quantity)
        assert here == pytest.approx(number_on(take, quantity), abs=1e-9)
    assert number_here(other, "veil_share") > number_here(take, "veil_share")


def test_all_numbers_after_one_are_all_numbers() -> None:
    take = take_json_of(setup_of(F10))
    expose(take, None, 512, None)
    number_here(take, "veil_share")
    after = measured_on(take)
    value = read_take(take)
    afresh = measure(stage_of(value), value, width_px=WIDTH_PX)
    assert after.numbers == afresh.numbers
    assert after.regions == afresh.regions


def test_the_small_frame_that_is_kept_is_the_last_one() -> None:
    take, other = (take_json_of(setup_of(fields)) for fields in (F10, OTHER))
    for asked in (take, other, take):
        value = read_take(asked)
        assert np.array_equal(small_frame(asked).rgb, shoot(stage_of(value), value, 512).rgb)
