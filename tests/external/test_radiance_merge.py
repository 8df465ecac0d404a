"""Brackets as the engine merges them, against OpenCV's merging after Debevec and Malik 1997.

The engine never makes the exposures: it says what merging them comes to, the radiance with the noise of the best
weights that there are. Here they are made, noise and levels and all, and merged by the other implementation.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from scoring.frame.sensor import FULL_WELL, READ_NOISE, merged_noise
from scoring.light.response import LINEAR_OF_LEVEL, levels

WHITES = np.array([32.0, 128.0, 512.0, 2048.0])
RADIANCES = np.geomspace(2.0, 1800.0, 40)
PIXELS = 4000


def exposures() -> list[NDArray[np.uint8]]:
    """One picture for each white: a row of noisy pixels for each radiance, three equal channels."""
    dice = np.random.default_rng(1)
    pictures = []
    for white in WHITES:
        share = np.repeat(RADIANCES[:, None] / white, PIXELS, axis=1)
        noisy = share + dice.normal(size=share.shape) * np.sqrt(share / FULL_WELL + (READ_NOISE / FULL_WELL) ** 2)
        pictures.append(np.repeat(levels(np.clip(noisy, 0.0, 1.0))[..., None], 3, axis=2))
    return pictures


def test_merged_brackets_have_the_radiance_and_the_noise_that_the_engine_gives_them() -> None:
    curve = np.repeat(np.maximum(LINEAR_OF_LEVEL, 1e-6).astype(np.float32).reshape(256, 1, 1), 3, axis=2)
    merged = cv2.createMergeDebevec().process(exposures(), (1.0 / WHITES).astype(np.float32), curve)[..., 0]
    assert np.abs(merged.mean(axis=1) / RADIANCES - 1.0).max() < 0.03
    noise, ours = merged.std(axis=1), merged_noise(RADIANCES, WHITES)
    # No weights give less noise than the engine's; theirs leave out much of an exposure that is nearly white.
    assert (noise > 0.98 * ours).all()
    assert (noise < 2.4 * ours).all()
    alone = WHITES[-2] < RADIANCES
    assert (noise < 1.06 * ours)[alone].all()


def test_what_every_exposure_clips_has_no_noise_left() -> None:
    assert merged_noise(np.array([2047.0, 2049.0]), WHITES)[1] == 0.0
    assert merged_noise(np.array([2047.0, 2049.0]), WHITES)[0] > 0.0
