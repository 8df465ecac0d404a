"""Contrast under an even veil that keeps the energy, L' = (1 - v) L + v mean: the table by that formula."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scoring.frame.film import CLEAN_VEIL_SHARE, strays_of
from scoring.frame.spin import Spin, spin_of
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take


def veiled(total: float) -> Spin:
    """A spin whose lens spreads ``total`` of the light, its clean share included."""
    spin = spin_of(take())
    more = 1.0 - (1.0 - total) / (1.0 - CLEAN_VEIL_SHARE)
    headings = [replace(h, film=replace(h.film, veil_share=more)) for h in spin.headings]
    return replace(spin, headings=tuple(headings))


@pytest.mark.parametrize(("veil", "contrast"), [(0.01, 66.8), (0.02, 50.0), (0.05, 28.3), (0.10, 16.1)])
def test_a_hundred_to_one_target_keeps_what_the_table_says(veil: float, contrast: float) -> None:
    stage = replace(clean_stage(), around_cd_m2=np.full((32, 64, 3), 50.0, np.float32))
    stray = strays_of(stage, veiled(veil))[0]
    bright, dark = (stray.keep[0, 0] * light + stray.stray_cd_m2[0, 0, 1] for light in (100.0, 1.0))
    assert bright / dark == pytest.approx(contrast, rel=2e-3)


def test_a_bright_window_takes_a_black_down_to_4_66() -> None:
    around = np.full((32, 64, 3), 50.0, np.float32)
    mean = 0.1 * 5000.0 + 0.9 * 50.0
    stage = replace(clean_stage(), around_cd_m2=np.full_like(around, mean))
    stray = strays_of(stage, veiled(0.02))[0]
    room, black = (stray.keep[0, 0] * light + stray.stray_cd_m2[0, 0, 1] for light in (50.0, 2.0))
    assert room / black == pytest.approx(4.66, abs=0.01)
