"""Light meters: exposure value from luminance or illuminance, and where to point them.

::

        symbol   meaning                                         unit
        ------   ---------------------------------------------   -------
        EV100    exposure value at ISO 100, log2(N2 / t)         stops
        N, t, S  f-number, shutter time, ISO speed               -, s, -
        L, E     luminance, illuminance                          cd/m2, lx
        K, C     calibration of a reflected, an incident meter   cd/m2 s, lx s

N2 / t = L S / K for a reflected meter, E S / C for an incident one: ISO 2720:1974 (K 12.5 and C 250 in common use).
"""

from __future__ import annotations

from math import isfinite, log2

import numpy as np
from numpy.typing import NDArray

from scoring.light.colour import Floats, luminance_of

K_REFLECTED = 12.5
C_INCIDENT = 250.0

MID_GREY = 0.18
"""Share of full white at which a metered luminance is recorded."""

DARKEST_CD_M2 = 1e-3
"""Below this a meter shows the same: no hand-held one reads less."""


def ev100_of_luminance(luminance_cd_m2: float, k: float = K_REFLECTED) -> float:
    """What a reflected meter shows; ValueError for a luminance that is not positive."""
    return _stops(luminance_cd_m2 * 100.0 / k)


def luminance_of_ev100(ev100: float, k: float = K_REFLECTED) -> float:
    """Luminance [cd/m2] at which a reflected meter shows so much."""
    return float(k / 100.0 * 2.0**ev100)


def ev100_of_illuminance(illuminance_lx: float, c: float = C_INCIDENT) -> float:
    """What an incident meter shows; ValueError for an illuminance that is not positive."""
    return _stops(illuminance_lx * 100.0 / c)


def illuminance_of_ev100(ev100: float, c: float = C_INCIDENT) -> float:
    """Illuminance [lx] at which an incident meter shows so much."""
    return float(c / 100.0 * 2.0**ev100)


def shutter_s(ev100: float, f_number: float, iso: float = 100.0) -> float:
    """Shutter time for an exposure value; ValueError when f-number or speed is not positive."""
    if not (f_number > 0.0 and iso > 0.0):
        raise ValueError(f"no camera has f-number {f_number} and ISO {iso}")
    return float(f_number**2 / 2.0**ev100 * 100.0 / iso)


def implied_grey(k: float = K_REFLECTED, c: float = C_INCIDENT) -> float:
    """Reflectance on which both meters agree, pi K / C."""
    return float(np.pi * k / c)


def log_average_cd_m2(rgb_cd_m2: NDArray[np.floating], weights: NDArray[np.floating] | None = None) -> float:
    """Geometric mean luminance of linear RGB (..., 3): what a meter that averages in stops sees.

    ``weights`` (...) weigh the places, for instance by solid angle; ValueError when nothing is weighed.
    """
    stops = np.log(np.maximum(luminance_of(rgb_cd_m2), DARKEST_CD_M2))
    weight = np.ones(stops.shape) if weights is None else np.broadcast_to(weights, stops.shape)
    total = float(weight.sum())
    if not total > 0.0:
        raise ValueError("a meter that looks at nothing shows nothing")
    return float(np.exp(float((stops * weight).sum()) / total))


def spot_cd_m2(rgb_cd_m2: NDArray[np.floating], away_deg: NDArray[np.floating], spot_deg: float = 5.0) -> float:
    """Mean luminance within ``spot_deg`` across round a point; ``away_deg`` (...) is each place's distance from it."""
    inside = np.asarray(away_deg) <= spot_deg / 2.0
    if not inside.any():
        inside = np.asarray(away_deg) == np.min(away_deg)
    return float(luminance_of(rgb_cd_m2)[inside].mean())


def solid_angles_sr(height: int, width: int) -> Floats:
    """Solid angle of every pixel of an equirectangular frame, (height, 1) to be broadcast; they sum to 4 pi."""
    edges = np.sin(np.linspace(np.pi / 2.0, -np.pi / 2.0, height + 1))
    out: Floats = ((edges[:-1] - edges[1:]) * (2.0 * np.pi / width))[:, None]
    return out


def _stops(ratio: float) -> float:
    if not (isfinite(ratio) and ratio > 0.0):
        raise ValueError("a meter needs light to show an exposure value")
    return log2(ratio)


__all__ = [
    "C_INCIDENT", "K_REFLECTED", "MID_GREY", "ev100_of_illuminance", "ev100_of_luminance", "illuminance_of_ev100",
    "implied_grey", "log_average_cd_m2", "luminance_of_ev100", "shutter_s", "solid_angles_sr", "spot_cd_m2",
]  # fmt: skip
