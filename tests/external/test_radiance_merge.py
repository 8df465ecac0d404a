"""Merging exposures against OpenCV's implementation of Debevec and Malik 1997.

OpenCV weighs a pixel by the mean of its three channels and gives black and white a little weight, so both are fed
greys, and are compared where two exposures or more say something.
"""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from scoring.light.exposure import Exposure, recorded
from scoring.light.merging import radiance_of
from scoring.light.response import LINEAR_OF_LEVEL, levels


def room(seed: int) -> np.ndarray:
    """A smooth invented map of radiance over 10 stops, three equal channels [cd/m2]."""
    rng = np.random.default_rng(seed)
    rough = np.repeat(rng.normal(size=(12, 16, 1)), 3, axis=2)
    smooth = cv2.resize(rough, (160, 120), interpolation=cv2.INTER_CUBIC)
    return np.exp2(2.0 * smooth + 6.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_merged_radiance_agrees_within_three_per_cent(seed: int) -> None:
    radiance = room(seed)
    whites = np.array([32.0, 128.0, 512.0, 2048.0])
    frames = np.stack([levels(recorded(radiance, Exposure(float(white)))) for white in whites])
    times = (1.0 / whites).astype(np.float32)
    curve = np.repeat(np.maximum(LINEAR_OF_LEVEL, 1e-6).astype(np.float32).reshape(256, 1, 1), 3, axis=2)
    theirs = cv2.createMergeDebevec().process(list(frames), times, curve)
    ours = radiance_of(frames, times)
    well_lit = ((frames > 20) & (frames < 235)).sum(axis=0) >= 2
    assert well_lit.mean() > 0.7
    assert np.abs(ours / theirs - 1.0)[well_lit].max() < 0.03
    assert np.abs(ours / radiance - 1.0)[well_lit].max() < 0.06
    assert np.median(np.abs(ours / radiance - 1.0)) < 0.005
