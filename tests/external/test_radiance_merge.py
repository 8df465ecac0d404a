"""Brackets as the engine merges them, against OpenCV's merging after Debevec and Malik 1997.

The engine never makes the exposures: it says what merging them comes to, the radiance with the noise of the best
weights that there are. Here they are made, noise and levels and all, and merged by the other implementation.
"""

from __future__ import annotations

import cv2
import numpy as np
import pytest
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


READ = {"agree": ((128, 1.0), (32, 0.25)), "differ": ((250, 1.0), (64, 0.25))}
"""Levels with their exposure times, for a camera whose level is radiance times time (g = ln Z)."""


def by_the_paper(read: tuple[tuple[int, float], ...]) -> float:
    """Equation 6 of Debevec and Malik 1997: ln E = sum w(Z) (g(Z) - ln t) / sum w(Z), w the hat of equation 4 over
    0..255."""
    weights = [min(level, 255 - level) for level, _ in read]
    return float(np.exp(np.average([np.log(level / time) for level, time in read], weights=weights)))


@pytest.mark.parametrize(("what", "radiance"), [("agree", 128.0), ("differ", 255.56)])
def test_the_implementation_merges_two_exposures_to_the_worked_values_of_the_paper(what: str, radiance: float) -> None:
    read = READ[what]
    assert by_the_paper(read) == pytest.approx(radiance, abs=0.005)
    pictures = [np.full((1, 1, 3), level, np.uint8) for level, _ in read]
    curve = np.repeat(np.maximum(np.arange(256.0), 1e-6).astype(np.float32).reshape(256, 1, 1), 3, axis=2)
    merged = cv2.createMergeDebevec().process(pictures, np.array([time for _, time in read], np.float32), curve)
    assert float(merged[0, 0, 0]) == pytest.approx(by_the_paper(read), rel=1e-5)


def test_the_engine_merges_what_agrees_to_128_too_and_what_does_not_between_the_two() -> None:
    """Its weights are one over the variance of each exposure alone: near white they trust the longer exposure, which
    has more light, where the hat trusts the shorter one."""
    by_ours = {}
    for what, read in READ.items():
        said = np.array([level / time for level, time in read])
        noise = [merged_noise(said[k : k + 1], np.array([255.0 / time]))[0] for k, (_, time) in enumerate(read)]
        by_ours[what] = float(np.average(said, weights=np.array(noise) ** -2))
        assert noise[0] < noise[1]
    assert by_ours["agree"] == pytest.approx(128.0, rel=1e-12)
    assert 250.0 < by_ours["differ"] < by_the_paper(READ["differ"])
