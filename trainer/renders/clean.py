"""The frame that a station would give with nothing wrong: for looking round a plan."""

from __future__ import annotations

from scoring.drill import Json
from scoring.floor.plan import Plan, Station
from scoring.frame.spin import PlaceError, lens_point
from scoring.frame.take import Take, take_json
from scoring.rig.kit import Kit


def clean_take(plan: Plan, kit: Kit, level: int, x: float, y: float) -> Json:
    """The take of a clean spin at a spot [m], at the usual hour. Raises PlaceError where no tripod stands."""
    take = Take(plan=plan, kit=kit, station=Station(level=level, x=x, y=y))
    lens_point(take)
    return take_json(take)


__all__ = ["PlaceError", "clean_take"]
