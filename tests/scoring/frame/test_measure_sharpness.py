"""Sharpness: rises of edges against blurs of known width."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, uniform_filter1d

from scoring.frame.measure_sharpness import Blur, Rise, Window, blur_of, rise_of

PX_PER_DEG = 22.756
SIZE = 200


def texture(seed: int = 3) -> np.ndarray:
    """A wall of bricks of many greys, with edges at a slant."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:SIZE, 0:SIZE]
    tones = rng.uniform(20.0, 90.0, (40, 40))
    return gaussian_filter(tones[((y + 0.09 * x) / 14).astype(int), ((x - 0.09 * y + 40) / 23).astype(int)], 0.5)


def rise(seen: np.ndarray, clean: np.ndarray | None = None) -> Rise:
    found = rise_of(Window(10.0, -5.0, PX_PER_DEG, texture() if clean is None else clean, seen))
    assert found is not None
    return found


@pytest.mark.parametrize("rise_deg", [0.1, 0.2, 0.4, 0.8])
def test_it_measures_a_gaussian_blur_by_the_rise_of_an_edge(rise_deg: float) -> None:
    """10-90 % rise of a Gaussian edge: 2.5631 times its spread (calculus)."""
    found = rise(gaussian_filter(texture(), rise_deg / 2.5631 * PX_PER_DEG))
    assert found.across_deg == pytest.approx(rise_deg, rel=0.08)
    assert found.up_deg == pytest.approx(rise_deg, rel=0.08)


def test_it_finds_a_sharp_picture_sharp_however_bright() -> None:
    assert rise(3.0 * texture() + 5.0).worst_deg < 0.02


@pytest.mark.parametrize("smear_px", [7, 15])
def test_it_tells_a_smear_from_being_out_of_focus(smear_px: int) -> None:
    found = rise(uniform_filter1d(texture(), smear_px, axis=1))
    assert found.across_deg == pytest.approx(0.8 * smear_px / PX_PER_DEG, rel=0.2)
    assert found.up_deg < 0.3 * found.across_deg


def test_it_is_not_led_astray_by_noise() -> None:
    blurred = gaussian_filter(texture(), 0.3 / 2.5631 * PX_PER_DEG)
    noisy = blurred + np.random.default_rng(5).normal(0.0, 2.0, blurred.shape)
    assert rise(noisy).worst_deg == pytest.approx(0.3, rel=0.15)


def test_it_cannot_tell_on_a_plain_wall() -> None:
    plain = np.full((SIZE, SIZE), 50.0)
    assert rise_of(Window(0.0, 0.0, PX_PER_DEG, plain, plain)) is None


def test_it_says_which_headings_are_soft() -> None:
    sharp, soft, smeared = Rise(0.02, 0.02, 0.0, 0.0), Rise(0.4, 0.38, 90.0, 5.0), Rise(0.4, 0.05, 90.0, 5.0)
    assert blur_of([[sharp], [soft], [sharp]], [0.0, 90.0, 0.0]).pattern == "some"
    assert blur_of([[soft], [soft]], [90.0, 90.0]).pattern == "even"
    assert blur_of([[smeared], [smeared], []], [90.0, 90.0, 180.0]).pattern == "along"
    found = blur_of([[sharp, soft, soft], []], [60.0, 180.0])
    assert found.worst_deg == 0.4
    assert (found.azimuth_deg, found.elevation_deg) == (90.0, 5.0)
    assert found.by_heading == (0.4, None)
    assert blur_of([[], []], [0.0, 180.0]).pattern == "none"


def windows(rises_deg: list[list[float]], step_deg: float, elevations_deg: tuple[float, ...] = (-5.0, -5.0)) -> Blur:
    """Headings with a window at the left and one at the right, of these rises."""
    middles = [step_deg * number for number in range(len(rises_deg))]
    rises = [
        [
            Rise(deg, deg, (middle + turn + 180.0) % 360.0 - 180.0, up)
            for deg, turn, up in zip(own, (-35.0, 35.0), elevations_deg, strict=True)
        ]
        for own, middle in zip(rises_deg, middles, strict=True)
    ]
    return blur_of(rises, middles)


def test_it_tells_one_soft_side_of_each_heading() -> None:
    right = windows([[0.02, 0.3], [0.0, 0.4], [0.05, 0.2], [0.01, 0.3]], 90.0)
    assert (right.pattern, right.side_deg) == ("one side", pytest.approx(0.3))
    assert right.worst_deg == pytest.approx(0.2), "of a heading, still"
    assert windows([[0.3, 0.02], [0.4, 0.0], [0.2, 0.05]], 120.0).pattern == "one side"


@pytest.mark.parametrize(
    ("rises_deg", "pattern"),
    [
        ([[0.4, 0.39], [0.41, 0.4], [0.4, 0.39], [0.42, 0.4]], "even"),
        ([[0.4, 0.4], [0.0, 0.0], [0.0, 0.0], [0.0, 0.0]], "some"),
        ([[0.4, 0.0], [0.0, 0.4], [0.4, 0.0], [0.0, 0.4]], "even"),
    ],
)
def test_softness_that_is_not_on_one_side_of_each_heading_is_none_of_one_side(
    rises_deg: list[list[float]], pattern: str
) -> None:
    found = windows(rises_deg, 90.0)
    assert (found.pattern, found.side_deg) == (pattern, 0.0)
