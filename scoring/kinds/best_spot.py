"""The best spot in one room, for *stand*: allowed, clear of things, and with the room's floor in view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from scoring.drill import Grade, Json, Mark, Shape, Task, Unfit
from scoring.floor.cover import floor_m2, floor_seen
from scoring.floor.findings import Stand
from scoring.floor.listing import listed_stands
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.stands import stand
from scoring.kinds.case import Source, build, snapped, station_json, with_guess_floor
from scoring.kinds.drawing import areas, line, point, station_point
from scoring.kinds.footholds import allowed_mark, finite, near_shape, refused_mark
from scoring.kinds.rooms import thrown_into
from scoring.kinds.tally import tally
from scoring.kinds.words import Names, in_or_on, metres, spot, start

WEIGHTS = {"stand": 0.40, "floor": 0.35, "clearance": 0.25}
CRITERIA = {"D4": frozenset({"stand", "clearance"}), "D1": frozenset({"floor"})}
LISTED = 160
LEAST_SPOTS = 6
"""A room with fewer listed stands leaves nothing to choose."""
TOO_EASY_SHARE = 0.6
"""A room in which a larger share of the floor's spots would do as well is no case."""
THROWS = 24
"""Spots of the asked room whose mean credit is the guessing floor: the case names the room, so nobody misses it."""
NO_TRIPOD = "no tripod stands there"
"""Why nothing counts as seen from a refused stand."""


def make(source: Source, varied: Plan, place: Place, spaces: Sequence[str]) -> Task:
    """A room of the named ones (or of all) and its best listed stand. Raises Unfit when any spot would do."""
    listed = listed_stands(place, target_stands=LISTED)
    rooms: dict[tuple[int, str], list[Station]] = {}
    for station in listed:
        room = place.room(station)
        if room is not None and not room.space.outdoor and (not spaces or room.space.id in spaces):
            rooms.setdefault((station.level, room.space.id), []).append(station)
    fit = sorted(key for key, spots in rooms.items() if len(spots) >= LEAST_SPOTS)
    if not fit:
        raise Unfit("no room leaves a choice of stands")
    level, space = Random(f"room/{source.seed}").choice(fit)  # noqa: S311 (no secret)
    names = Names(varied)
    spots = rooms[level, space]
    measured = [(share_seen(place, one, level, space), stand(place, one)) for one in spots]
    best = snapped(spots[_top(place, measured)])
    best_share = share_seen(place, best, level, space)
    want = min(place.standard.clearance_good_m, stand(place, best).clearance_m)
    good = sum(_worth(place, share, found, best_share, want) >= 0.98 for share, found in measured) / len(measured)
    if good > TOO_EASY_SHARE:
        raise Unfit(f"{100 * good:.0f} % of the spots in {space} would do")
    room_words = names.room(level, space)
    task = build(
        source,
        varied,
        asks={"mode": "best", "stations": {"least": 1, "most": 1}, "level": level, "space": space, "room": room_words},
        key={
            "mode": "best",
            "level": level,
            "space": space,
            "best": [best.level, best.x, best.y],
            "best_share": best_share,
            "want_m": want,
        },
        difficulty_logit=min(3.0, max(-3.0, -0.4 + 2.0 * (0.5 - good))),
    )
    task = replace(task, public={**task.public, "task": source.recipe.task.replace("{room}", room_words)})
    blind = [thrown_into(place, level, space, THROWS, source.seed)]

    def graded(made: Task, answer: Json) -> Grade:
        one = answer["stations"][0]
        return grade(made, place, Station(level=one["level"], x=one["x"], y=one["y"]))

    own = graded(task, {"stations": [station_json(best)]})
    if own.verdict != "holds":
        raise Unfit(f"the best spot of {space} does not hold: {own.summary}")
    return with_guess_floor(task, graded, blind)


def _top(place: Place, measured: Sequence[tuple[float, Stand]]) -> int:
    """The best of some stands, each with the share that it shows: beside the most that any shows, and any keeps off.

    Both seldom are one stand's, so what is asked of people is what the best one has.
    """
    most_share = max(share for share, _ in measured)
    want = min(place.standard.clearance_good_m, max(found.clearance_m for _, found in measured))
    values = [_worth(place, share, found, most_share, want) for share, found in measured]
    return max(range(len(values)), key=values.__getitem__)


def share_seen(place: Place, station: Station, level: int, space: str) -> float:
    """Share of a room's floor that one station on its level sees, 0..1."""
    floor = floor_m2(place, level, space)
    if station.level != level or floor <= 0.0:
        return 0.0
    part = floor_seen(place, station, only=space).get((level, space))
    return 0.0 if part is None else min(1.0, float(part.area) / floor)


def _worth(place: Place, share: float, found: Stand, best_share: float, want: float) -> float:
    return (
        WEIGHTS["stand"]
        + WEIGHTS["floor"] * _floor_credit(place, share, best_share)
        + WEIGHTS["clearance"] * _clearance_credit(place, found, want)
    )


def _floor_credit(place: Place, share: float, best_share: float) -> float:
    target = place.standard.floor_share_of_best * best_share
    return min(1.0, share / target) if target > 0.0 else 1.0


def _clearance_credit(place: Place, found: Stand, want: float) -> float:
    return min(1.0, (found.clearance_m + place.standard.placement_error_m) / want) if want > 0.0 else 1.0


def grade(task: Task, place: Place, placed: Station) -> Grade:
    """Grade one spot for one room."""
    level, space, want = task.key["level"], task.key["space"], task.key["want_m"]
    best = Station(level=task.key["best"][0], x=task.key["best"][1], y=task.key["best"][2])
    names = Names(place.plan)
    room = names.room(level, space)
    found = stand(place, placed)
    inside = (found.level, found.space) == (level, space)
    nothing = "" if found.allowed else NO_TRIPOD
    share = 0.0 if nothing else share_seen(place, placed, level, space)
    target = place.standard.floor_share_of_best * task.key["best_share"]
    floor, clear = _floor_credit(place, share, task.key["best_share"]), _clearance_credit(place, found, want)
    marks = [
        _stand_mark(place, placed, found, room, inside),
        view_mark(room, share, target, best, task.key["best_share"], WEIGHTS["floor"], nothing),
        _clearance_mark(place, placed, found, room, want, clear if found.allowed and inside else 0.0, best),
    ]
    sound = found.allowed and inside
    if not found.allowed:
        summary = f"No tripod may stand there; the best spot of {room} is at {spot(best.x, best.y)}."
    elif not inside:
        summary = f"This spot is not {in_or_on(room)}, which was asked for."
    elif floor < 1.0 or clear < 1.0:
        summary = f"A tripod may stand there; {room} has a better spot at {spot(best.x, best.y)}."
    else:
        summary = f"This spot is as good as the best of {room}."
    shapes = [station_point("reference", best, "R1")]
    if not nothing:
        shapes += seen_shapes(place, placed, level, space)
    return tally(task, marks, sound=sound, summary=summary, shapes=shapes, criteria=CRITERIA)


def seen_shapes(place: Place, placed: Station, level: int, space: str) -> list[Shape]:
    """The floor of one room that a station on its level sees."""
    part = floor_seen(place, placed, only=space).get((level, space)) if placed.level == level else None
    return [] if part is None else areas("seen-once", level, part)


def _stand_mark(place: Place, placed: Station, found: Stand, room: str, inside: bool) -> Mark:
    if not found.allowed:
        return refused_mark(place, placed, found, 1, WEIGHTS["stand"])
    mark = allowed_mark([placed], [found], WEIGHTS["stand"], float(inside))
    assert mark is not None
    if inside:
        return mark
    return replace(
        mark, words=f"Station 1 stands where a tripod may, but not {in_or_on(room)}.", mend=f"Move it into {room}."
    )


def view_mark(
    room: str, share: float, target: float, best: Station, best_share: float, weight: float, nothing: str = ""
) -> Mark:
    """How much of one room's floor the station shows, against a target share, with the best spot where it is short.

    ``nothing``: why nothing counts as seen from there; the share is 0 then.
    """
    credit = min(1.0, share / target) if target > 0.0 else 1.0
    mend = f"From {spot(best.x, best.y)} {100.0 * best_share:.0f} % of it is seen." if credit < 1.0 else ""
    return Mark(
        criterion="floor",
        title=f"Floor of {room}",
        credit=credit,
        weight=weight,
        value=100.0 * share,
        limit=100.0 * target,
        unit="%",
        words=f"Nothing counts as seen: {nothing}."
        if nothing
        else f"{100.0 * share:.0f} % of the floor of {room} is seen from your station.",
        mend=mend,
        shapes=(point("missing", best.level, (best.x, best.y)),) if mend else (),
    )


def _clearance_mark(
    place: Place, placed: Station, found: Stand, room: str, want: float, credit: float, best: Station
) -> Mark:
    what = found.clearance_what or "anything"
    mend = ""
    if credit < 1.0:
        clear_m = stand(place, best).clearance_m
        mend = f"{start(room)} leaves {metres(clear_m)} at {spot(best.x, best.y)}: near things double at the seams."
    return Mark(
        criterion="clearance",
        title="Nearest wall or thing",
        credit=credit,
        weight=WEIGHTS["clearance"],
        value=finite(found.clearance_m),
        limit=want,
        unit="m",
        words=f"Station 1 keeps {metres(found.clearance_m)} from {what}."
        if found.clearance_m < float("inf")
        else "Station 1 has nothing near it.",
        mend=mend,
        shapes=(near_shape(placed, found), line("missing", placed.level, (placed.x, placed.y), (best.x, best.y)))
        if mend and placed.level == best.level
        else (near_shape(placed, found),),
    )


__all__ = ["CRITERIA", "NO_TRIPOD", "THROWS", "grade", "make", "seen_shapes", "share_seen", "view_mark"]
