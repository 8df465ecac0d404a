"""Tilt from upright edges, on rooms tilted by a known angle."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.blind.sphere import CannotTell
from scoring.frame.blind.tilt import Tilt, find_tilt
from tests.scoring.frame.blind.drawn_rooms import striped_room


def vector(tilt_deg: float, towards_deg: float) -> tuple[float, float]:
    a = np.radians(towards_deg)
    return tilt_deg * np.cos(a), tilt_deg * np.sin(a)


@pytest.mark.parametrize(
    ("tilt_deg", "towards_deg"), [(0.25, 0.0), (0.5, 130.0), (1.0, -60.0), (2.0, 45.0), (3.0, -170.0)]
)
def test_it_finds_how_far_and_toward_where_the_horizon_rises(tilt_deg: float, towards_deg: float) -> None:
    found = find_tilt(striped_room(1024, tilt_deg, towards_deg, samples=3))
    assert isinstance(found, Tilt)
    got, true = vector(found.tilt_deg, found.towards_deg), vector(tilt_deg, towards_deg)
    assert np.hypot(got[0] - true[0], got[1] - true[1]) <= 0.2


@pytest.mark.parametrize("seed", [2, 3, 4])
def test_its_uncertainty_covers_its_error(seed: int) -> None:
    found = find_tilt(striped_room(1024, 1.0, 80.0, seed=seed, samples=3))
    assert isinstance(found, Tilt)
    assert abs(found.tilt_deg - 1.0) <= 3.0 * found.uncertainty_deg + 0.02


def test_a_level_room_is_level() -> None:
    found = find_tilt(striped_room())
    assert isinstance(found, Tilt)
    assert found.tilt_deg <= 0.1


def test_the_drawn_horizon_is_that_of_the_tilt() -> None:
    # lat = atan(tan t cos(az - az0)): for 5 degrees 4.3329 at 30, 2.5048 at 60 and 0 at 90 degrees from az0.
    found = find_tilt(striped_room(1024, 3.0, 0.0, samples=3))
    assert isinstance(found, Tilt)
    wave = dict(next(trace for trace in found.traces if trace.role == "horizon").at_deg)
    assert wave[0.0] == pytest.approx(3.0, abs=0.2)
    assert wave[90.0] == pytest.approx(0.0, abs=0.2)
    assert wave[180.0] == pytest.approx(-3.0, abs=0.2)


def test_a_plain_frame_tells_no_tilt() -> None:
    assert find_tilt(np.full((512, 1024, 3), 128, np.uint8)) == CannotTell("tilt", "few-edges")


def test_noise_alone_tells_no_tilt() -> None:
    grey = np.random.default_rng(5).normal(128.0, 20.0, (512, 1024))
    noise = np.repeat(np.clip(grey, 0, 255).astype(np.uint8)[..., None], 3, axis=2)
    assert find_tilt(noise) == CannotTell("tilt", "unsteady")


def test_edges_in_one_direction_alone_tell_no_tilt_across_it() -> None:
    frame = np.full((512, 1024, 3), 200, np.uint8)
    columns = [512 + k for k in range(-12, 13, 6)]
    for column in columns:
        frame[150:360, column : column + 3] = 30
    found = find_tilt(frame)
    assert isinstance(found, CannotTell)
    assert found.why in {"one-sided", "few-edges"}
