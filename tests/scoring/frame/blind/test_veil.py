"""The most that a veil can be: exact when something black is in view, never too little by more than a step."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.blind.sphere import LINEAR, CannotTell
from scoring.frame.blind.veil import Veil, find_veil
from tests.scoring.frame.blind.drawn_rooms import striped_room


def veiled(light: np.ndarray, share: float) -> np.ndarray:
    """L' = (1 - v) L + v mean(L), the mean over the solid angle, as sRGB bytes."""
    height = len(light)
    weight = np.cos(np.radians(90.0 - (np.arange(height) + 0.5) / height * 180.0))
    mean = (light.mean(axis=1) * weight).sum() / weight.sum()
    mixed = (1.0 - share) * light + share * mean
    grey = np.abs(LINEAR[None, :] - mixed.reshape(-1, 1)).argmin(axis=1).astype(np.uint8).reshape(light.shape)
    return np.repeat(grey[..., None], 3, axis=2)


@pytest.fixture(scope="module")
def room() -> np.ndarray:
    light = LINEAR[striped_room(512)[..., 0]].astype(float)
    light[120:140, 200:230] = 0.0
    return light


@pytest.mark.parametrize("share", [0.0, 0.01, 0.05, 0.1, 0.2])
def test_it_recovers_a_known_veil_when_black_is_in_view(room: np.ndarray, share: float) -> None:
    found = find_veil(veiled(room, share))
    assert isinstance(found, Veil)
    assert found.at_most_percent == pytest.approx(100.0 * share, abs=found.uncertainty_percent + 0.1)


def test_without_black_in_view_it_is_only_an_upper_limit(room: np.ndarray) -> None:
    found = find_veil(veiled(np.maximum(room, 0.03), 0.05))
    assert isinstance(found, Veil)
    assert found.at_most_percent > 5.0


def test_the_patch_at_the_foot_and_a_gap_are_not_taken_for_black(room: np.ndarray) -> None:
    patched = veiled(np.maximum(room, 0.03), 0.1)
    patched[235:] = 0
    gap = np.zeros(512, bool)
    gap[10:40] = True
    patched[:, gap] = 0
    found = find_veil(patched, gap)
    assert isinstance(found, Veil)
    assert found.at_most_percent > 10.0


def test_it_shows_where_the_frame_is_darkest(room: np.ndarray) -> None:
    found = find_veil(veiled(room, 0.05))
    assert isinstance(found, Veil)
    (left, low), (right, high) = found.traces[0].at_deg
    assert left - 8.0 <= 215 / 512 * 360.0 - 180.0 <= right + 8.0
    assert low - 8.0 <= 90.0 - 130 / 256 * 180.0 <= high + 8.0


@pytest.mark.parametrize("grey", [0, 128])
def test_a_frame_of_one_tone_tells_nothing(grey: int) -> None:
    assert find_veil(np.full((256, 512, 3), grey, np.uint8)) == CannotTell("veil", "flat")
