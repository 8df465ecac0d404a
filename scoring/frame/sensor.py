"""What the sensor makes of light: brackets merged, noise, clipping, and the curve to what is shown.

One exposure records radiance L as x = L / white, up to 1. Its noise has two parts, in shares of white::

      variance = x / full well + read noise^2        (photons arrive singly; the amplifier hisses)

Brackets are merged by the mean of all exposures that are not clipped, each weighed by how sure it is; so the merged
noise is that of the most light, and what even the shortest exposure clips is clipped. A frame has fewer pixels than
the film, or more: noise is averaged accordingly. Both curves are tables by the upper 16 bits of a float32.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.frame.pose import Film
from scoring.frame.stage import Stage
from scoring.frame.take import Take
from scoring.light.colour import rgb_of_kelvin
from scoring.light.exposure import bracket_ev, exposure_for
from scoring.light.response import encoded
from scoring.light.tone import Tone, shown

Rows = NDArray[Any]

FULL_WELL = 5000.0
"""Electrons that make one pixel of the film white."""
READ_NOISE = 3.0
"""Electrons."""
NATIVE_WIDTH_PX = 5760.0
"""Width of a frame with as many pixels to a degree as the film has."""
DEEPEST_EV = 4.0
SHORTEST_EV = -6.0
"""A kit's brackets go no further than this from the middle exposure."""
SETTING_KELVIN = 5000.0
_BITS = 15
_SLOTS = 1 << (31 - _BITS)


class Sensor(NamedTuple):
    """Tables of one setting, for the kernels."""

    shown: Rows
    """(65536,) linear share shown, by recorded radiance."""
    noise_cd_m2: Rows
    """(65536,) standard deviation, by recorded radiance."""
    code: Rows
    """(65536,) share 0..1 written to the file, by linear share."""
    colourful: float
    white_cd_m2: float
    """From here on up all is white."""
    exposures_ev: tuple[float, ...]


def sensor_of(stage: Stage, take: Take, width_px: int) -> Sensor:
    """The sensor as it was set for a take, for a frame of that width."""
    wrong = take.fault("F14")
    bias_ev = wrong.number("offset_ev") if wrong else 0.0
    single = wrong is not None and wrong.word("brackets") == "one"
    middle = exposure_for(stage.metered_cd_m2)
    stops = (0.0,) if single else bracket_ev(*stage.span_cd_m2, middle)
    stops = tuple(ev for ev in stops if SHORTEST_EV <= ev <= DEEPEST_EV)
    whites = np.array([middle.white_cd_m2 / 2.0 ** (ev + bias_ev) for ev in stops])
    at = _slots()
    white = float(whites.max())
    noise = merged_noise(at, whites) / max(1.0, NATIVE_WIDTH_PX / width_px)
    clipped = np.minimum(at, white)
    if single:
        shares, colourful = clipped / white, 1.0
    else:
        dimmer = 2.0**-bias_ev
        tone = Tone(stage.metered_cd_m2 * dimmer, max(stage.span_cd_m2[1], stage.metered_cd_m2 * 1.01) * dimmer)
        shares, colourful = shown(clipped, tone), tone.colourful
        shares = shares / shares[-1] if shares[-1] > 0.97 else shares
    code = encoded(np.arange(65536) / 65535.0)
    return Sensor(shares.astype(np.float32), noise.astype(np.float32), code.astype(np.float32), colourful, white, stops)


def merged_noise(radiance_cd_m2: Rows, whites_cd_m2: Rows) -> Rows:
    """Standard deviation [cd/m2] of a radiance merged from exposures, one pixel of the film; 0 where all of them clip.

    ``whites_cd_m2`` (k,) are the radiances that each exposure clips at.
    """
    sure = np.zeros(radiance_cd_m2.shape)
    for white in whites_cd_m2:
        x = radiance_cd_m2 / white
        variance = (x / FULL_WELL + (READ_NOISE / FULL_WELL) ** 2) * white**2
        sure += np.where(x < 1.0, 1.0 / variance, 0.0)
    return np.where(sure > 0.0, 1.0 / np.sqrt(np.maximum(sure, 1e-300)), 0.0)


def gains_of(stage: Stage, film: Film) -> Rows:
    """What a heading's exposure and colour setting do to red, green and blue, (3,)."""
    gains: Rows = np.array(stage.balance) * 2.0**film.exposure_ev
    if film.balance_kelvin:
        warm = np.array(rgb_of_kelvin(SETTING_KELVIN))
        moved = np.array(rgb_of_kelvin(max(SETTING_KELVIN + film.balance_kelvin, 1700.0)))
        gains *= moved / warm
    return gains


def _slots() -> Rows:
    bits = (np.arange(_SLOTS, dtype=np.uint32) << np.uint32(_BITS)) + np.uint32(1 << (_BITS - 1))
    at = bits.view(np.float32)
    return np.where(np.isfinite(at), at, np.float32(1e30)).astype(np.float64)


__all__ = ["FULL_WELL", "NATIVE_WIDTH_PX", "READ_NOISE", "Sensor", "gains_of", "merged_noise", "sensor_of"]
