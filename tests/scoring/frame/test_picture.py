"""Raw headings: round, black beyond the circle, and showing things where the lens puts them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, map_coordinates

from scoring.frame.lens import edge_radius, to_film
from scoring.frame.picture import CIRCLE, heading_picture
from scoring.frame.shoot import shoot
from scoring.frame.spin import spin_of
from scoring.frame.take import Take
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


def detail(grey: np.ndarray) -> float:
    """How much of a picture is finer than a degree or so."""
    return float(np.abs(grey - gaussian_filter(grey, 2.0)).mean() / grey.mean())


def raw_and_merged(given: Take, index: int, off_deg: float) -> tuple[float, float]:
    """Detail of a heading about a place at eye level off its middle: as it was taken, and in the merged frame."""
    wide, raw_px, side_px = 2048, 1600, 100
    spin = spin_of(given)
    heading = spin.headings[index]
    left = round((heading.believed_deg + off_deg + 180.0) / 360.0 * wide) - side_px // 2
    top = wide // 4 - side_px
    merged = shoot(clean_stage(), given, wide, (left, top, side_px, 2 * side_px)).rgb.mean(axis=2)
    columns, rows = np.meshgrid(left + np.arange(side_px), top + np.arange(2 * side_px))
    away = (columns + 0.5) / wide * 2.0 * np.pi - np.pi - np.radians(heading.believed_deg)
    up = 0.5 * np.pi - (rows + 0.5) / wide * 2.0 * np.pi
    toward = np.stack([np.cos(up) * np.cos(away), -np.cos(up) * np.sin(away), np.sin(up)], axis=-1)
    film = np.array([to_film(heading.projection, *one) for one in toward.reshape(-1, 3)]).reshape(toward[..., :2].shape)
    half = 0.5 * raw_px
    at = half - 0.5 - film[..., ::-1] / edge_radius(spin.lens) * CIRCLE * half
    raw = heading_picture(clean_stage(), given, index, raw_px).mean(axis=2)
    return detail(map_coordinates(raw, np.moveaxis(at, -1, 0), order=1)), detail(merged)


@pytest.mark.parametrize(("index", "off_deg", "soft"), [(3, -33.0, True), (1, 33.0, False)])
def test_a_lens_that_is_off_is_as_soft_on_one_side_as_the_merged_frame_and_as_sharp_on_the_other(
    index: int, off_deg: float, soft: bool
) -> None:
    raw, merged = raw_and_merged(with_fault("F9", offset_mm=2.5, toward_deg=0.0), index, off_deg)
    sharp, _ = raw_and_merged(take(), index, off_deg)
    assert raw / merged == pytest.approx(1.0, abs=0.12)
    assert (raw < 0.85 * sharp) is soft


def test_what_was_not_taken_cannot_be_looked_at() -> None:
    with pytest.raises(ValueError, match="heading 4 was not taken"):
        heading_picture(clean_stage(), with_fault("F8"), 3, WIDTH)
