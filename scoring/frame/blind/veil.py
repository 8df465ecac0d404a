"""Veil: light that lies over the whole frame, from flare in the lens or dirt on it, as a share of the mean.

    v      share of the mean light that is spread over everything        [%]
    L'     light in the frame   L' = (1 - v) L + v mean(L)
    p      the darkest thousandth of the frame, by solid angle

Nothing is darker than black, so p >= v mean(L), and p / mean(L) is the MOST that the veil can be. It is the veil
itself when something near black is in view (a dark screen, a gap under a door). A camera that pushes its shadows
down makes it look smaller than it is. The foot of the tripod and its patch are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scoring.frame.blind.sphere import LINEAR, Bytes, CannotTell, Floats, Trace, azimuths_deg, elevations_deg, luminance

DARKEST_SHARE = 0.001
FOOT_DEG = -60.0
"""Below this elevation stands the tripod, often under a patch of one colour."""
MEAN_MIN = 0.002
"""Of full scale: a frame darker than this tells nothing."""
BOX_DEG = 8.0


@dataclass(frozen=True, slots=True)
class Veil:
    """The most that a veil can be, in per cent of the mean light, and one step of the file's scale beside it."""

    at_most_percent: float
    uncertainty_percent: float
    traces: tuple[Trace, ...]
    """Where the frame is darkest."""


def find_veil(rgb: Bytes, without: NDArray[np.bool_] | None = None) -> Veil | CannotTell:
    """The most that a veil over an sRGB frame (H, W, 3) can be; ``without`` (W,) marks columns of a gap."""
    height, width = rgb.shape[:2]
    light = luminance(rgb)
    lat, lon = elevations_deg(height), azimuths_deg(width)
    weight = np.repeat(np.cos(np.radians(lat))[:, None], width, axis=1)
    if without is not None:
        weight[:, without] = 0.0
    mean = float((light * weight).sum()) / max(float(weight.sum()), 1e-12)
    weight[lat < FOOT_DEG] = 0.0
    total = float(weight.sum())
    if mean < MEAN_MIN:
        return CannotTell("veil", "flat")
    order = np.argsort(light, axis=None)
    reached = np.cumsum(weight.ravel()[order]) / total
    last = int(np.searchsorted(reached, DARKEST_SHARE))
    low = float(light.ravel()[order[last]])
    if float(light.ravel()[order[int(np.searchsorted(reached, 0.999))]]) - low < 0.02:
        return CannotTell("veil", "flat")
    step = int(np.searchsorted(LINEAR, low))
    one_step = float(LINEAR[min(255, step + 1)] - LINEAR[min(254, step)])
    darkest = order[: last + 1][weight.ravel()[order[: last + 1]] > 0.0]
    return Veil(100.0 * low / mean, 100.0 * one_step / mean, (_where(darkest, lon, lat, width),))


def _where(darkest: NDArray[np.intp], lon: Floats, lat: Floats, width: int) -> Trace:
    """A box about the spot where most of the darkest pixels lie."""
    at_lon, at_lat = lon[darkest % width], lat[darkest // width]
    across, down = np.floor((at_lon + 180.0) / BOX_DEG), np.floor((at_lat + 90.0) / BOX_DEG)
    cells, counts = np.unique(across * 1000.0 + down, return_counts=True)
    most = cells[int(np.argmax(counts))]
    left, low = (most // 1000.0) * BOX_DEG - 180.0, (most % 1000.0) * BOX_DEG - 90.0
    return Trace("darkest", "box", ((float(left), float(low)), (float(left + BOX_DEG), float(low + BOX_DEG))))


__all__ = ["Veil", "find_veil"]
