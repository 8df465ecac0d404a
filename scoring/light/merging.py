"""Exposures merged to one map of radiance: a weighted mean of what each of them says, best where it is mid-scale.

Debevec and Malik 1997, equations 4 and 6: ln E = sum w(Z) (g(Z) - ln t) / sum w(Z), with the hat w on 0..255 that is
0 at both ends, and g the logarithm of the light that a level stands for.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import Floats
from scoring.light.response import LINEAR_OF_LEVEL, Levels

HAT: Floats = np.minimum(np.arange(256), 255 - np.arange(256)).astype(np.float64)
"""Weight of each level."""


def radiance_of(frames: Levels, exposures: NDArray[np.floating], light_of_level: Floats = LINEAR_OF_LEVEL) -> Floats:
    """Radiance map of levels (k, ..., c) taken with exposures (k,): a level says radiance x exposure.

    Where every frame is white or black, the shortest or the longest exposure decides. ValueError when exposures are
    not positive or do not match the frames.
    """
    times = np.asarray(exposures, dtype=np.float64)
    if times.shape != frames.shape[:1] or not (times > 0.0).all():
        raise ValueError(f"{len(frames)} frames need as many positive exposures, not {times}")
    light = np.maximum(light_of_level, light_of_level[light_of_level > 0.0].min() * 0.5)
    logs = np.log(light)
    above = np.zeros(frames.shape[1:])
    weight = np.zeros(frames.shape[1:])
    for frame, time in zip(frames, times, strict=True):
        share = HAT[frame]
        above += share * (logs[frame] - np.log(time))
        weight += share
    shortest, longest = int(times.argmin()), int(times.argmax())
    fallback = np.where(
        frames[shortest] == 255, light[frames[shortest]] / times[shortest], light[frames[longest]] / times[longest]
    )
    out: Floats = np.where(weight > 0.0, np.exp(above / np.maximum(weight, 1.0)), fallback)
    return out


__all__ = ["HAT", "radiance_of"]
