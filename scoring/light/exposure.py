"""Setting an exposure: what becomes white, how many frames a bracket needs, and how one frame records light.

::

        luminance   dark ◀────────────────── span of the scene ──────────────────▶ bright
        one frame          ├─────── usable ───────┤
        bracket       ├──────── +2 ───────┤
                           ├──────── 0 ───────────┤
                                     ├───────── -2 ────────┤     two steps of 2 EV add 4 EV

An exposure is one number: the luminance that is recorded as full white. Everything else follows from it.
"""

from __future__ import annotations

from math import ceil, log2
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import NEUTRAL, Floats, Rgb, luminance_of, rgb_of_kelvin
from scoring.light.meter import MID_GREY, ev100_of_luminance

USABLE_EV = 8.0
"""What one frame of a phone records between noise and white (common practice, no source)."""


class Exposure(NamedTuple):
    """One exposure, with the colour that is called white."""

    white_cd_m2: float
    """Luminance recorded as full white."""
    balance: Rgb = NEUTRAL
    """Gains on red, green and blue."""

    @property
    def ev100(self) -> float:
        """Exposure value at ISO 100."""
        return ev100_of_luminance(self.white_cd_m2 * MID_GREY)

    def brighter(self, by_ev: float) -> Exposure:
        """The same, letting in 2 ** by_ev times the light."""
        return self._replace(white_cd_m2=self.white_cd_m2 / 2.0**by_ev)


def exposure_for(metered_cd_m2: float, bias_ev: float = 0.0, balance: Rgb = NEUTRAL) -> Exposure:
    """The exposure that records a metered luminance as middle grey, ``bias_ev`` brighter.

    ValueError for a luminance that is not positive.
    """
    if not metered_cd_m2 > 0.0:
        raise ValueError("metering needs light")
    return Exposure(metered_cd_m2 / MID_GREY / 2.0**bias_ev, balance)


def balance_for_kelvin(kelvin: float) -> Rgb:
    """Gains that make light of a colour temperature neutral, at the same luminance of green."""
    red, green, blue = rgb_of_kelvin(kelvin)
    return Rgb(green / red, 1.0, green / max(blue, 0.02 * green))


def balance_for(mean_rgb: NDArray[np.floating], share: float = 0.8) -> Rgb:
    """Gains of an automatic white balance: ``share`` of the way from the light as it is to a neutral mean."""
    red, green, blue = (max(float(part), 1e-9) for part in mean_rgb)
    return Rgb((green / red) ** share, 1.0, (green / blue) ** share)


def recorded(rgb_cd_m2: NDArray[np.floating], exposure: Exposure) -> Floats:
    """Linear RGB on the sensor, 0..1, clipped at white."""
    out: Floats = np.clip(rgb_cd_m2 * (np.array(exposure.balance) / exposure.white_cd_m2), 0.0, 1.0)
    return out


def span_ev(
    rgb_cd_m2: NDArray[np.floating], weights: NDArray[np.floating], low_share: float = 0.01, high_share: float = 0.01
) -> tuple[float, float]:
    """Luminances [cd/m2] below and above which the darkest and brightest shares of a view lie, by weight (...)."""
    luminance = luminance_of(rgb_cd_m2).ravel()
    weight = np.broadcast_to(weights, rgb_cd_m2.shape[:-1]).ravel()
    order = np.argsort(luminance, kind="stable")
    share = np.cumsum(weight[order]) / weight.sum()
    low, high = np.searchsorted(share, [low_share, 1.0 - high_share])
    return float(luminance[order[low]]), float(luminance[order[min(int(high), len(order) - 1)]])


def bracket_ev(
    low_cd_m2: float, high_cd_m2: float, middle: Exposure, step_ev: float = 2.0, usable_ev: float = USABLE_EV
) -> tuple[float, ...]:
    """The fewest exposures, in EV brighter than ``middle``, ``step_ev`` apart, that record a span from low to high.

    One frame records from its white down by ``usable_ev``; each further frame adds a step at one end, first where
    more is missing. ValueError when the span is empty or steps leave gaps.
    """
    if not 0.0 < low_cd_m2 <= high_cd_m2:
        raise ValueError(f"no span from {low_cd_m2} to {high_cd_m2} cd/m2")
    if not 0.0 < step_ev <= usable_ev:
        raise ValueError(f"frames {step_ev} EV apart that record {usable_ev} EV leave gaps")
    over = log2(high_cd_m2 / middle.white_cd_m2)
    under = log2(middle.white_cd_m2 / low_cd_m2) - usable_ev
    down, up = (max(0, ceil(missing / step_ev - 1e-9)) for missing in (over, under))
    return tuple(step_ev * k for k in range(-down, up + 1))


def frames_needed(span: float, step_ev: float = 2.0, usable_ev: float = USABLE_EV) -> int:
    """How many frames, ``step_ev`` apart and freely placed, record a span [EV]."""
    return 1 + max(0, ceil((span - usable_ev) / step_ev - 1e-9))


__all__ = [
    "USABLE_EV", "Exposure", "balance_for", "balance_for_kelvin", "bracket_ev", "exposure_for", "frames_needed",
    "recorded", "span_ev",
]  # fmt: skip
