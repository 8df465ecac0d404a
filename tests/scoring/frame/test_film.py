"""What is on the glass: where it sits, what it takes and what it spreads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scoring.frame.film import CLEAN_VEIL_SHARE, SIZE, Strays, film_places, natural_shade, strays_of
from scoring.frame.spin import spin_of
from scoring.frame.take import Fault
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take, wrong


def strays(*faults: Fault) -> list[Strays]:
    return strays_of(clean_stage(), spin_of(take(*faults)))


def at(left_deg: float, up_deg: float) -> tuple[int, int]:
    """Index of the map's point nearest to a place."""
    left, up, _ = film_places()
    return int(np.abs(up[:, 0] - up_deg).argmin()), int(np.abs(left[0] - left_deg).argmin())


def test_a_clean_lens_spreads_half_a_per_cent_evenly() -> None:
    for stray in strays():
        assert stray.even
        assert np.allclose(stray.keep, 1.0 - CLEAN_VEIL_SHARE)
        assert np.ptp(stray.stray_cd_m2[..., 1]) == 0.0


def test_a_smudge_sits_at_the_same_place_of_every_heading() -> None:
    found = strays(wrong("F10", off_axis_deg=40.0, toward_deg=0.0, patch_share=0.1, contrast_loss=0.5))
    for stray in found[1:]:
        assert np.array_equal(stray.keep, found[0].keep)
    assert found[0].keep[at(-40.0, 0.0)] < 0.6
    assert found[0].keep[at(50.0, 0.0)] == pytest.approx(1.0 - CLEAN_VEIL_SHARE, abs=1e-6)


def test_fog_goes_by_halves_from_heading_to_heading() -> None:
    found = strays(wrong("F11", loss=0.6, half_life_min=2.0, step_min=1.0))
    lost = [1.0 - float(stray.keep[0, 0]) / (1.0 - CLEAN_VEIL_SHARE) for stray in found]
    assert lost == pytest.approx([0.6 * 0.5 ** (k / 2.0) for k in range(4)], abs=1e-5)


@pytest.mark.parametrize("fault", [wrong("F10"), wrong("F11")])
def test_dirt_makes_no_light(fault: Fault) -> None:
    stage = clean_stage()
    even = replace(stage, around_cd_m2=np.full_like(stage.around_cd_m2, 80.0))
    for stray in strays_of(even, spin_of(take(fault))):
        inside = film_places()[2] < 60.0
        assert np.allclose((80.0 * stray.keep[..., None] + stray.stray_cd_m2)[inside], 80.0, rtol=2e-3)


def test_glare_falls_off_from_its_source_and_needs_one() -> None:
    stage = clean_stage()
    dark = replace(stage, around_cd_m2=np.full_like(stage.around_cd_m2, 100.0))
    assert not [s for s in strays_of(dark, spin_of(take(wrong("F12")))) if np.ptp(s.stray_cd_m2) > 0.0]
    rows = len(stage.around_cd_m2)
    window = np.full_like(stage.around_cd_m2, 100.0)
    window[rows // 2 - 8 : rows // 2 + 8, :8] = 20_000.0
    found = strays_of(replace(stage, around_cd_m2=window), spin_of(take(wrong("F12", spots=1.0))))
    veil = found[0].stray_cd_m2[..., 1]
    assert veil[at(0.0, 25.0)] > 2.0 * veil[at(0.0, 80.0)] > 0.0
    toward, away = (float(np.median(found[k].stray_cd_m2[..., 1])) for k in (0, 2))
    assert toward > 1.5 * away


def test_a_lens_off_to_the_right_is_shaded_on_the_left() -> None:
    stray = strays(wrong("F9", offset_mm=2.0, toward_deg=0.0))[0]
    assert stray.keep[at(60.0, 0.0)] < 0.9 < stray.keep[at(-60.0, 0.0)]
    assert stray.soft[at(50.0, 0.0)] > 0.3
    assert stray.soft[at(-50.0, 0.0)] == 0.0


def test_a_finger_hides_the_same_part_of_every_heading_and_a_strap_less() -> None:
    finger, strap = strays(wrong("F19", kind="finger")), strays(wrong("F19", kind="strap"))
    hidden = [float((stray.keep < 0.1).mean()) for stray in (finger[0], strap[0])]
    assert hidden[0] > hidden[1] > 0.0
    assert np.array_equal(finger[0].keep, finger[3].keep)


def test_the_natural_shade_only_falls() -> None:
    shade = natural_shade(np.linspace(0.0, 1.2, 50))
    assert shade[0] == 1.0
    assert (np.diff(shade) <= 0.0).all()
    assert shade[-1] == pytest.approx(0.07)


def test_the_map_counts_left_and_up() -> None:
    left, up, away = film_places()
    assert left.shape == (SIZE, SIZE)
    assert left[0, 0] < 0.0 < left[0, -1]
    assert up[0, 0] < 0.0 < up[-1, 0]
    assert away.min() < 1.5
