"""A set-up on the bench: a room, a kit, an hour and a fault with its parameters, as an address says them.

?floor=studio&room=0/main&kit=heron-three&light=noon&fault=F1&offset_mm=20   <->   Setup   ->   take
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from shapely import Polygon
from shapely.ops import polylabel

from scoring.drill import Json, canonical_json
from scoring.floor.plan import Plan, Station
from scoring.floor.stands import passes
from scoring.frame.faults import FAULTS, FaultForm, Parameter
from scoring.frame.take import Fault, Take, take_json
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.renders.places import place_of

LIGHTS: dict[str, tuple[str, dict[str, Any]]] = {
    "noon": ("Clear sky, noon", {"when_iso": "2025-03-20T12:00", "sky": "clear", "lamps": False}),
    "cloud": ("Overcast, noon", {"when_iso": "2025-03-20T12:00", "sky": "overcast", "lamps": False}),
    "lamps": ("Overcast, lamps on", {"when_iso": "2025-12-21T15:00", "sky": "overcast", "lamps": True}),
    "low": ("Clear sky, late", {"when_iso": "2025-12-21T15:00", "sky": "clear", "lamps": False}),
}
"""Hours that are worth comparing, by name: words, and what they are in a take."""
SEED = 7
GRID_M = 0.25
PACKED_MAX = 600


class NoSuchSetup(ValueError):
    """A set-up that the bench has not; the message is for the person."""


@dataclass(frozen=True, slots=True)
class Setup:
    """What the bench shows."""

    floor: str
    level: int
    space: str
    kit: str
    light: str
    fault: str = "N0"
    values: dict[str, float | str] = field(default_factory=dict)

    @property
    def room(self) -> str:
        """Level and space as one word."""
        return f"{self.level}/{self.space}"

    @property
    def form(self) -> FaultForm:
        """The fault of the catalogue."""
        return FAULTS[self.fault]

    @property
    def clean(self) -> Setup:
        """The same set-up with nothing wrong."""
        return replace(self, fault="N0", values={})

    def turned(self, name: str, value: float) -> Setup:
        """The same set-up with another value of one parameter."""
        return replace(self, values={**self.values, name: value})

    def fields(self) -> dict[str, str]:
        """What an address holds of it."""
        said = {"floor": self.floor, "room": self.room, "kit": self.kit, "light": self.light, "fault": self.fault}
        return {**said, **{name: v if isinstance(v, str) else f"{v:g}" for name, v in self.values.items()}}

    def packed(self) -> str:
        """All of it as one word of an address."""
        return base64.urlsafe_b64encode(canonical_json(self.fields()).encode()).decode().rstrip("=")


def unpacked(word: str) -> Setup:
    """The set-up that a word of an address means. Raises NoSuchSetup."""
    if len(word) > PACKED_MAX:
        raise NoSuchSetup("That is no set-up.")
    try:
        fields = json.loads(base64.urlsafe_b64decode(word + "=" * (-len(word) % 4)))
    except (ValueError, RecursionError):
        raise NoSuchSetup("That is no set-up.") from None
    if not isinstance(fields, dict) or not all(isinstance(value, str) for value in fields.values()):
        raise NoSuchSetup("That is no set-up.")
    return setup_of(fields)


def setup_of(fields: Mapping[str, str]) -> Setup:
    """The set-up of an address; what it leaves out is chosen. Raises NoSuchSetup, naming what is not there."""
    floors, kits = shelf.names(Edition.What.FLOOR), shelf.names(Edition.What.KIT)
    floor = _one_of(fields.get("floor"), floors, "place")
    kit = _one_of(fields.get("kit"), kits, "kit")
    plan = shelf.floor(floor)
    rooms = [room for room, _ in rooms_of(plan)]
    room = fields.get("room")
    level, _, space = _one_of(room if room in rooms else None, rooms, "room").partition("/")
    fault = _one_of(fields.get("fault"), list(FAULTS), "fault")
    light = _one_of(fields.get("light"), list(LIGHTS), "light")
    values = _values(FAULTS[fault], fields, shelf.kit(kit).headings)
    return Setup(floor, int(level), space, kit, light, fault, values)


def rooms_of(plan: Plan) -> list[tuple[str, str]]:
    """("level/space", words) of every room that a spin is shot in."""
    several = len(plan.levels) > 1
    return [
        (f"{number}/{space.id}", f"{level.name}: {space.name}" if several and level.name != space.name else space.name)
        for number, level in enumerate(plan.levels)
        for space in level.spaces
    ]


def take_of(setup: Setup) -> Take:
    """The whole cause of the set-up's frame. Raises NoSuchSetup where it cannot be."""
    kit = shelf.kit(setup.kit)
    faults = () if setup.fault == "N0" else (Fault(code=setup.fault, values=dict(setup.values)),)  # type: ignore[arg-type]
    try:
        return Take(
            plan=shelf.floor(setup.floor),
            kit=kit,
            station=stand_in(setup),
            faults=faults,
            seed=SEED,
            **LIGHTS[setup.light][1],
        )
    except ValueError as error:
        raise NoSuchSetup(str(error)) from None


def take_json_of(setup: Setup) -> Json:
    """The same as JSON, its numbers to six digits as an address says them, and not to be changed: it is kept for a
    while, as who waits for a picture asks for it every second."""
    addresses = shelf.address_of(Edition.What.FLOOR, setup.floor), shelf.address_of(Edition.What.KIT, setup.kit)
    return _take_json(setup.packed(), *addresses, shelf.house_standard()[1])


@lru_cache(maxsize=128)
def _take_json(word: str, floor_address: str, kit_address: str, standard_address: str) -> Json:
    """Of the set-up of that word, while the shelf holds these."""
    return take_json(take_of(unpacked(word)))


def stand_in(setup: Setup) -> Station:
    """Where the tripod stands in the room: the allowed spot nearest to its middle, else the middle itself."""
    _, address = place_of(setup.floor, setup.kit)
    return _stand(address, setup.floor, setup.kit, setup.level, setup.space)


@lru_cache(maxsize=512)
def _stand(address: str, floor: str, kit: str, level: int, space: str) -> Station:
    place, _ = place_of(floor, kit)
    outline = Polygon(place.plan.space(level, space).outline)
    middle = polylabel(outline, 0.1)
    x0, y0, x1, y1 = outline.bounds
    xs, ys = np.meshgrid(np.arange(x0, x1, GRID_M) + GRID_M / 2, np.arange(y0, y1, GRID_M) + GRID_M / 2)
    inside = shapely.contains_xy(outline, xs, ys)
    spots = [(middle.x, middle.y), *zip(xs[inside].tolist(), ys[inside].tolist(), strict=True)]
    spots.sort(key=lambda spot: (spot[0] - middle.x) ** 2 + (spot[1] - middle.y) ** 2)
    for x, y in spots:
        station = Station(level=level, x=round(x, 3), y=round(y, 3))
        if passes(place, station):
            return station
    return Station(level=level, x=round(middle.x, 3), y=round(middle.y, 3))


def _one_of(wanted: str | None, there: list[str], what: str) -> str:
    if not there:
        raise NoSuchSetup(f"There is no {what} on the shelf.")
    if wanted is None or wanted == "":
        return there[0]
    if wanted not in there:
        raise NoSuchSetup(f"There is no such {what}.")
    return wanted


def _values(form: FaultForm, fields: Mapping[str, str], headings: int) -> dict[str, float | str]:
    """Every parameter of a fault: as the fields say, at its default where they say nothing."""
    given: dict[str, float | str] = {}
    for parameter in form.parameters:
        text = fields.get(parameter.name, "")
        if text == "":
            continue
        if isinstance(parameter, Parameter):
            try:
                given[parameter.name] = float(text.replace(",", "."))
            except ValueError:
                raise NoSuchSetup(f"{parameter.words}: {text[:20]!r} is no number.") from None
        else:
            given[parameter.name] = text
    for name in ("heading", "seam"):
        if isinstance(value := given.get(name), float):
            given[name] = min(value, float(headings))
    try:
        return form.complete(given)
    except ValueError as error:
        raise NoSuchSetup(str(error)) from None


__all__ = ["LIGHTS", "NoSuchSetup", "Setup", "rooms_of", "setup_of", "stand_in", "take_json_of", "take_of", "unpacked"]
