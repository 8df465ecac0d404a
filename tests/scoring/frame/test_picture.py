"""Raw headings: round, black beyond the circle, and showing things where the lens puts them."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.picture import CIRCLE, heading_picture
from tests.scoring.frame.even_rooms import clean_stage, with_fault
from tests.scoring.frame.spins import take

WIDTH = 200


def test_it_is_black_beyond_the_image_circle_and_nowhere_within() -> None:
    rgb = heading_picture(clean_stage(), take(), 1, WIDTH)
    at = np.arange(WIDTH) + 0.5 - WIDTH / 2
    away = np.hypot(at[None, :], at[:, None])
    assert rgb[away > CIRCLE * WIDTH / 2 + 2].max() <= 3
    assert np.median(rgb[away < 0.8 * CIRCLE * WIDTH / 2]) > 60


def test_a_lens_off_to_the_right_moves_its_circle_to_the_right() -> None:
    given = with_fault("F9", offset_mm=3.0, toward_deg=0.0)
    clean, moved = (heading_picture(clean_stage(), one, 0, WIDTH) for one in (take(), given))
    middles = [np.mean(np.flatnonzero(rgb[WIDTH // 2].max(axis=1) > 6)) for rgb in (clean, moved)]
    assert middles[1] - middles[0] > 2.0


def test_it_is_the_same_every_time_and_no_two_headings_are_alike() -> None:
    one, again, other = (heading_picture(clean_stage(), take(), k, WIDTH) for k in (0, 0, 2))
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)


def test_a_thing_before_the_lens_is_there_in_the_raw_heading() -> None:
    clean, held = (heading_picture(clean_stage(), one, 0, WIDTH) for one in (take(), with_fault("F19", kind="finger")))
    change = np.abs(clean.astype(int) - held).max(axis=2) > 12
    assert change[WIDTH // 2 :].mean() > 3.0 * change[: WIDTH // 2].mean()


def test_motion_smears_and_focus_softens() -> None:
    sharp, focus, motion = (
        heading_picture(clean_stage(), one, 0, WIDTH)
        for one in (take(), with_fault("F13", blur_deg=0.8), with_fault("F13", kind="motion", blur_deg=0.8))
    )
    rough = [np.abs(np.diff(rgb.astype(int), axis=1)).mean() for rgb in (sharp, focus, motion)]
    assert rough[0] > rough[1]
    assert rough[0] > rough[2]


def test_what_was_not_taken_cannot_be_looked_at() -> None:
    with pytest.raises(ValueError, match="heading 4 was not taken"):
        heading_picture(clean_stage(), with_fault("F8"), 3, WIDTH)
