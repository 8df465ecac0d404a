"""The words of a grade: names of rooms, stations and limits as a person would say them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from scoring.floor.plan import Plan
from scoring.floor.shapes import the

OPEN_PLACE = re.compile(r"\b(?:balcony|terrace|deck|patio|drive|path|landing)(?: \d+)?(?: \(|$| on )")
"""What one stands on rather than in."""
NO_CODE_CHECK = "This is no code check: local codes, the site owner and licensed practice come first."


def listed(items: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def stations(numbers: Sequence[int]) -> str:
    """ "station 3", "stations 2, 5 and 7", from numbers that people see (from 1)."""
    word = "station" if len(numbers) == 1 else "stations"
    return f"{word} {listed([str(number) for number in numbers])}"


def counted(count: int, one: str, many: str = "") -> str:
    """ "1 station", "3 stations"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def start(words: str) -> str:
    """The words with their first letter large, as a sentence starts."""
    return words[:1].upper() + words[1:]


def in_or_on(room: str) -> str:
    """ "in the kitchen", "on the landing": a room or an open place, with the word that goes with it."""
    return f"{'on' if OPEN_PLACE.search(room) else 'in'} {room}"


def metres(value_m: float) -> str:
    """A length to the centimetre, with its unit."""
    return f"{value_m:.2f} m"


def spot(x: float, y: float) -> str:
    """A point of the plan, to the decimetre."""
    return f"(x {x:.1f}, y {y:.1f})".replace("-0.0", "0.0")


class Names:
    """What the rooms of one plan are called in a sentence: "the hallway", "bedroom 2", no two alike."""

    def __init__(self, plan: Plan) -> None:
        spoken = [
            (number, space.id, the(space.name)) for number, level in enumerate(plan.levels) for space in level.spaces
        ]
        many = Counter(name for _, _, name in spoken)
        with_level = [
            (number, id_, name if many[name] == 1 else f"{name} on {the(plan.levels[number].name)}")
            for number, id_, name in spoken
        ]
        still = Counter(name for _, _, name in with_level)
        self._rooms = {
            (number, id_): name if still[name] == 1 else f"{name} ({id_})" for number, id_, name in with_level
        }
        self._levels = [the(level.name) for level in plan.levels]

    def room(self, level: int, space: str | None) -> str:
        """The room in mid-sentence; "no room" for None."""
        return "no room" if space is None else self._rooms[(level, space)]

    def level(self, number: int) -> str:
        """The storey in mid-sentence."""
        return self._levels[number]


__all__ = ["NO_CODE_CHECK", "Names", "counted", "in_or_on", "listed", "metres", "spot", "start", "stations"]
