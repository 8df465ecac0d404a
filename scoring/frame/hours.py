"""The hour that a take stands for: its own, or the one at which the sun has sunk as low as a fault asks for."""

from __future__ import annotations

import math

from scoring.frame.take import Take
from scoring.light.instant import julian_day
from scoring.light.sun import Sun, sun_at

_STEPS = 288
_HALVINGS = 30


class HourError(ValueError):
    """No hour of that day has such a sun; the message is for the person."""


def hour_of(take: Take) -> Sun:
    """Where the sun stands for a take. HourError when F18 asks for a height that it does not have on that day."""
    day = julian_day(take.when_iso)
    low = take.fault("F18")
    if low is None:
        return sun_at(day, take.latitude_deg, take.longitude_deg)
    wanted_deg = low.number("sun_deg")
    noon = math.floor(day) - take.longitude_deg / 360.0
    noon += round(day - noon)
    toward = -0.5 if low.word("half") == "morning" else 0.5

    def height(share: float) -> float:
        return sun_at(noon + toward * share, take.latitude_deg, take.longitude_deg).elevation_deg

    heights = [height(k / _STEPS) for k in range(_STEPS + 1)]
    highest = max(range(_STEPS + 1), key=heights.__getitem__)
    below = next((k for k in range(highest, _STEPS + 1) if heights[k] < wanted_deg), None)
    if heights[highest] < wanted_deg or below is None:
        raise HourError(
            f"the sun does not stand {wanted_deg:g} deg high on that day at latitude {take.latitude_deg:g} deg; "
            f"it reaches {heights[highest]:.1f} deg"
        )
    early, late = (below - 1) / _STEPS, below / _STEPS
    for _ in range(_HALVINGS):
        middle = 0.5 * (early + late)
        early, late = (middle, late) if height(middle) > wanted_deg else (early, middle)
    return sun_at(noon + toward * early, take.latitude_deg, take.longitude_deg)


__all__ = ["HourError", "hour_of"]
