"""What a grade says about where a tripod stands: one mark for each stand that is refused, one for all the others."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from scoring.drill import Mark, Shape
from scoring.floor.findings import Stand, StandFault, StandReason
from scoring.floor.footing import from_door_line, standing_floor
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.stands import stand
from scoring.kinds.drawing import line, point, station_point
from scoring.kinds.words import NO_CODE_CHECK, Names, in_or_on, metres, spot, start, stations

FAULT_WORDS: dict[StandFault, str] = {
    "outside": "it is in a wall or a thing",
    "on-flight": "it is on the treads of a flight",
    "no-stand-zone": "it is on a road, a drive or a pool",
    "legs": "the legs do not fit",
    "way-out": "it is in a doorway",
    "flight-end": "it is at the foot or head of a flight",
    "edge": "it is too near an open edge or water",
    "headroom": "there is too little height over the lens",
    "head-hits": "something hangs at the height of the head",
}
"""The reasons that a person may choose from."""
NOWHERE: frozenset[StandFault] = frozenset({"outside", "on-flight", "no-stand-zone", "edge"})
"""No spin is shot from such a stand, so it shows nothing and links nothing."""
HAZARDS: frozenset[StandFault] = frozenset({"on-flight", "flight-end", "edge", "no-stand-zone", "way-out"})
"""Where someone could get hurt; the words say whose rules come first."""

MENDS_MAX = 8
"""For so many refused stands of one answer a better spot is looked for."""
RING_M = (0.2, 0.4, 0.6, 0.9, 1.3, 1.8)
RING_TURNS = 8


@dataclass(frozen=True, slots=True)
class Held:
    """Which stations of an answer can be used at all, and the answer's own numbers for them."""

    stations: tuple[Station, ...]
    numbers: tuple[int, ...]
    """The number that people see (from 1) of each station kept."""


def usable(stations_: Sequence[Station], stands: Sequence[Stand]) -> Held:
    """The stations from which a spin could be shot."""
    kept = [index for index, found in enumerate(stands) if not any(reason.fault in NOWHERE for reason in found.reasons)]
    return Held(tuple(stations_[index] for index in kept), tuple(index + 1 for index in kept))


def stand_marks(
    place: Place, placed: Sequence[Station], stands: Sequence[Stand], weight: float, fewest: int, first: int = 1
) -> list[Mark]:
    """A mark for each refused stand and one for all the others; together they weigh ``weight``.

    With fewer stations than any sound set has, the missing ones count as not placed.
    """
    places = max(len(placed), fewest, 1)
    refused = [index for index, found in enumerate(stands) if not found.allowed]
    marks = [
        refused_mark(place, placed[index], stands[index], index + first, weight / places, search=order < MENDS_MAX)
        for order, index in enumerate(refused)
    ]
    rest = places - len(refused)
    good = allowed_mark(placed, stands, weight * rest / places, (len(placed) - len(refused)) / max(rest, 1), first)
    if good is not None:
        return [*marks, good]
    if rest > 0:
        words = "No station stands yet where a tripod may."
        marks.append(Mark("stand", "Stands", 0.0, weight * rest / places, 0.0, float(fewest), "", words, ""))
    return marks


def refused_mark(
    place: Place, station: Station, found: Stand, number: int, weight: float, *, search: bool = True
) -> Mark:
    """The mark of one refused stand: its first reason, and (with ``search``) the nearest spot that would do."""
    reason = worst(found)
    better = nearest_allowed(place, station) if search else None
    shapes = [station_point("stand-refused", station, str(number)), point("reason", station.level, reason.at)]
    mend = "Leave this one out: nothing near it would do." if search else "Move it clear, or leave it out."
    if better is not None:
        far = math.hypot(better.x - station.x, better.y - station.y)
        mend = f"Move it {metres(far)} to {spot(better.x, better.y)}."
        shapes += [line("missing", station.level, (station.x, station.y), (better.x, better.y))]
    if reason.fault in HAZARDS:
        mend = f"{mend} {NO_CODE_CHECK}"
    return Mark(
        criterion="stand",
        title=f"Stand of station {number}",
        credit=0.0,
        weight=weight,
        value=finite(reason.value_m),
        limit=finite(reason.limit_m),
        unit="m",
        words=reason_words(reason, f"station {number}"),
        mend=mend,
        shapes=tuple(shapes),
        firm=found.firm,
    )


def allowed_mark(
    stations_: Sequence[Station], stands: Sequence[Stand], weight: float, credit: float, first: int = 1
) -> Mark | None:
    """The mark of all stands that are allowed; None when there is none."""
    good = [index for index, found in enumerate(stands) if found.allowed]
    if not good:
        return None
    names = stations([index + first for index in good])
    short = "; the others that it takes are not placed yet" if credit < 1.0 and len(good) == len(stands) else ""
    return Mark(
        criterion="stand",
        title="Stands that are allowed",
        credit=credit,
        weight=weight,
        value=float(len(good)),
        limit=float(len(stands)),
        unit="",
        words=f"{start(names)} {'stands' if len(good) == 1 else 'stand'} where a tripod may{short}.",
        mend="",
        shapes=tuple(station_point("stand-allowed", stations_[index], str(index + first)) for index in good),
        firm=all(stands[index].firm for index in good),
    )


def worst(found: Stand) -> StandReason:
    """The reason to name first: what can hurt, then what fails by most."""
    return min(found.reasons, key=lambda reason: (reason.fault not in HAZARDS, reason.value_m - reason.limit_m))


def reason_words(reason: StandReason, who: str) -> str:
    """One reason as a sentence about "station 3" or "this stand"."""
    what, value, limit = reason.what, metres(abs(reason.value_m)), metres(reason.limit_m)
    match reason.fault:
        case "outside":
            where = what if what.startswith("off") else f"in {what}"
            return f"{start(who)} is {where}, where no tripod can stand."
        case "on-flight":
            return f"{start(who)} is on the treads of {what}; a tripod stands on landings only."
        case "no-stand-zone":
            return f"{start(who)} is {in_or_on(what)}, which is kept free of tripods."
        case "legs":
            return f"The legs of {who} do not fit: {what} is {value} from the middle and {limit} is needed."
        case "way-out":
            return f"{start(who)} is in {what} and blocks the way out."
        case "flight-end":
            short = "reach over" if reason.value_m < 0 else f"come within {value} of"
            return f"The legs of {who} {short} {what}; {limit} are kept free so that nobody trips."
        case "edge":
            return f"{start(who)} is {value} from {what}; {limit} are kept off."
        case "headroom":
            return f"Over the lens of {who} only {value} are free, under {what}; {limit} are needed."
        case "head-hits":
            near = f"At {who} {what} hangs {value} from the head, which needs {limit}"
            return f"{near}; stop a fan before anything is raised."


def nearest_allowed(place: Place, station: Station) -> Station | None:
    """A near spot where a tripod may stand, with the placement error to spare if there is one; None out of reach.

    None of them is in a room that is taken from its door line.
    """
    spare: Station | None = None
    for candidate in [*_pushed(place, station), *_ring(station)]:
        room = place.room(candidate)
        if room is not None and from_door_line(place, candidate.level, room.space.id):
            continue
        found = stand(place, candidate)
        if found.allowed and found.firm:
            return candidate
        if found.allowed and spare is None:
            spare = candidate
    return spare


def _pushed(place: Place, station: Station) -> list[Station]:
    """The nearest spots where the legs fit, from the floor of the station's own room and of any other."""
    spot_ = shapely.Point(station.x, station.y)
    room = place.room(station)
    if station.level >= len(place.storeys):
        return []
    heights = {one.floor for one in place.storeys[station.level].rooms if room is None or one.floor == room.floor}
    found = []
    margin = place.kit.leg_radius_m + place.standard.placement_error_m
    for height in heights:
        region = standing_floor(place, station.level, height).region
        if room is not None:
            region = region.intersection(room.polygon)
        for inset in (margin + 0.01, place.kit.leg_radius_m + 0.005):
            inner = region.buffer(-inset)
            if not inner.is_empty:
                near = shapely.get_coordinates(shapely.shortest_line(inner, spot_))[0]
                found.append(Station(level=station.level, x=float(near[0]), y=float(near[1])))
    return sorted(found, key=lambda one: math.hypot(one.x - station.x, one.y - station.y))


def _ring(station: Station) -> list[Station]:
    return [
        Station(
            level=station.level,
            x=station.x + radius * math.cos(2.0 * math.pi * turn / RING_TURNS),
            y=station.y + radius * math.sin(2.0 * math.pi * turn / RING_TURNS),
        )
        for radius in RING_M
        for turn in range(RING_TURNS)
    ]


def finite(value: float) -> float | None:
    """The value, or None where there is no figure."""
    return value if math.isfinite(value) else None


def clearance_mark(
    place: Place,
    placed: Sequence[Station],
    stands: Sequence[Stand],
    radii: Mapping[str, float],
    weight: float,
    fewest: int,
    first: int = 1,
) -> Mark:
    """How well stations keep off walls and things: the standard's soft limit, or what the room has if that is less."""
    standard, names = place.standard, Names(place.plan)
    scores, wants = [], []
    for found in stands:
        circle = radii.get(f"{found.level}/{found.space}", standard.clearance_soft_m)
        want = min(standard.clearance_soft_m, circle)
        wants.append(want)
        near = min(found.clearance_m, want)
        scores.append(min(1.0, (near + standard.placement_error_m) / want) if want > 0.0 else 1.0)
    credit = sum(scores) / max(len(scores), fewest, 1)
    if not scores:
        words = "No station stands yet whose distance to walls could be measured."
        return Mark("clearance", "Clearance", 0.0, weight, None, standard.clearance_soft_m, "m", words, "")
    low = min(range(len(scores)), key=lambda index: (scores[index], stands[index].clearance_m))
    found, number = stands[low], low + first
    what = found.clearance_what or "anything"
    room = in_or_on(names.room(found.level, found.space))
    words = f"Station {number}, {room}, keeps {metres(found.clearance_m)} from {what}."
    mend = ""
    if scores[low] < 1.0:
        mend = f"Move station {number} away from {what}: near things double at the seams."
    return Mark(
        criterion="clearance",
        title="Nearest wall or thing",
        credit=credit,
        weight=weight,
        value=finite(found.clearance_m),
        limit=wants[low],
        unit="m",
        words=words,
        mend=mend,
        shapes=(near_shape(placed[low], found),),
    )


def near_shape(station: Station, found: Stand) -> Shape:
    """The line from a station to what is nearest to it."""
    return line("near", station.level, (station.x, station.y), found.clearance_at, metres(found.clearance_m))


__all__ = [
    "FAULT_WORDS", "HAZARDS", "NOWHERE", "Held", "allowed_mark", "clearance_mark", "finite", "near_shape",
    "nearest_allowed", "reason_words", "refused_mark", "stand_marks", "usable", "worst",
]  # fmt: skip
