"""What a grade says about links: whether the stations are one set, which gaps part them, what they hang on."""

from __future__ import annotations

from collections.abc import Sequence

from scoring.drill import Mark, Shape
from scoring.floor.findings import Link, Survey
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.repair import join_islands
from scoring.kinds.drawing import island_lines, link_line, station_point
from scoring.kinds.floor_marks import unseen_rooms
from scoring.kinds.footholds import Held
from scoring.kinds.words import counted, listed, metres, spot, start, stations

GAPS_SHOWN = 3


def link_mark(place: Place, found: Survey, held: Held, weight: float, fewest: int) -> Mark:
    """Whether the usable stations form one connected set. ``fewest``: how many any sound set has at least.

    One set that shows all floor has every join it needs. In any other only stations count that could not all go
    without loss, and no more of them than the fewest: a heap of stations on one spot joins nothing.
    """
    count, islands = len(held.stations), found.islands
    words, mend = _link_words(count, islands, held, fewest), ""
    shapes: list[Shape] = []
    if len(islands) > 1:
        mend, shapes = mended(place, held.stations, islands)
    return Mark(
        criterion="link",
        title="One connected set",
        credit=_link_credit(found, count, fewest),
        weight=weight,
        value=float(len(islands)),
        limit=1.0,
        unit="",
        words=words,
        mend=mend,
        shapes=(*(island_lines(islands, held.stations) if len(islands) > 1 else ()), *shapes),
        firm=not any(link.benefit for link in found.links),
    )


def _link_credit(found: Survey, count: int, fewest: int) -> float:
    if len(found.islands) == 1 and not unseen_rooms(found.covers):
        return 1.0
    if fewest <= 1:
        return (count - len(found.islands)) / (count - 1) if count > 1 else float(count > 0)
    useful = min(count - len(found.spare_together), fewest)
    return max(0, useful - len(found.islands)) / (fewest - 1)


def _link_words(count: int, islands: Sequence[Sequence[int]], held: Held, fewest: int) -> str:
    if count == 0:
        return "There is no station yet to link."
    if len(islands) > 1:
        groups = "; ".join(listed([str(held.numbers[index]) for index in island]) for island in islands)
        return f"The stations form {len(islands)} islands: {groups}."
    if count == 1:
        alone = f"Station {held.numbers[0]} stands alone"
        return f"{alone}, which is enough here." if fewest <= 1 else f"{alone}; it has nothing yet to link to."
    words = f"{start(stations(held.numbers))} form one connected set"
    return f"{words}." if count >= fewest else f"{words}; it takes {fewest} at least to show everything."


def mended(place: Place, stood: Sequence[Station], islands: Sequence[Sequence[int]]) -> tuple[str, list[Shape]]:
    """The fewest stations that would join some islands, in words and as points."""
    repair = join_islands(place, stood, islands)
    if not repair.stations:
        return "No few stations join these islands; move one of them into sight of another.", []
    spots = [Station(level=level, x=x, y=y) for level, x, y in repair.stations]
    where = listed([spot(one.x, one.y) for one in spots])
    words = f"{start(counted(len(spots), 'more station'))} at {where} would join them."
    return words, [station_point("missing", one) for one in spots]


def gap_marks(found: Survey, held: Held) -> list[Mark]:
    """The shortest sights that fail between islands, each with what is missing; told, not weighed."""
    home = {index: number for number, island in enumerate(found.islands) for index in island}
    marks: list[Mark] = []
    joined: set[frozenset[int]] = set()
    order = {"narrow": 0, "long": 1, "blocked": 2, None: 3}
    for link in sorted(found.links, key=lambda one: (order[one.fault], one.length_m)):
        pair = frozenset({home[link.a], home[link.b]})
        if link.holds or len(pair) < 2 or pair in joined or len(marks) >= GAPS_SHOWN:
            continue
        joined.add(pair)
        marks.append(_gap_mark(link, held))
    return marks


def _gap_mark(link: Link, held: Held) -> Mark:
    a, b = held.numbers[link.a], held.numbers[link.b]
    value: float | None = link.clear_m
    match link.fault:
        case "narrow":
            words = f"Between stations {a} and {b} only {metres(link.clear_m)} of the view is clear."
            mend = "Move both toward the axis of the opening between them."
        case "long":
            words = f"Stations {a} and {b} are {metres(link.length_m)} apart, too far for one step."
            value, mend = link.length_m, "Put a station between them."
        case _:
            words = f"Stations {a} and {b} do not see each other."
            value, mend = None, "Put a station where both can be seen, or move one into sight of the other."
    return Mark(
        "gap", f"Sight from {a} to {b}", 0.0, 0.0, value, None, "m", words, mend, tuple(link_line(link, held.stations))
    )


def strength_marks(found: Survey, held: Held) -> list[Mark]:
    """What a connected set hangs on: its narrowest needed link and the stations whose loss would break it."""
    marks = []
    weakest = _bottleneck(found)
    if len(found.islands) == 1 and weakest is not None:
        a, b = held.numbers[weakest.a], held.numbers[weakest.b]
        words = f"The narrowest link that the set needs runs from {a} to {b}: {metres(weakest.clear_m)} of it is clear."
        shapes = tuple(link_line(weakest, held.stations))
        marks.append(
            Mark("weakest", "Narrowest link", 1.0, 0.0, weakest.clear_m, None, "m", words, "", shapes, weakest.firm)
        )
    if found.cut_stations and len(found.islands) == 1:
        numbers = [held.numbers[index] for index in found.cut_stations]
        lost = stations(numbers).replace(" and ", " or ")
        words = f"If the spin of {lost} is lost, the set falls apart: check it before you pack."
        shapes = tuple(station_point("reason", held.stations[index]) for index in found.cut_stations)
        marks.append(Mark("cut", "What it hangs on", 1.0, 0.0, float(len(numbers)), None, "", words, "", shapes))
    return marks


def _bottleneck(found: Survey) -> Link | None:
    """The narrowest link of the widest tree that joins all stations."""
    parent: dict[int, int] = {}

    def root(i: int) -> int:
        while parent.get(i, i) != i:
            i = parent[i]
        return i

    last: Link | None = None
    for link in sorted((one for one in found.links if one.holds), key=lambda one: -one.clear_m):
        if root(link.a) != root(link.b):
            parent[root(link.a)] = root(link.b)
            last = link
    return last


def link_shapes(found: Survey, held: Held) -> list[Shape]:
    """Every link that holds, and those that miss by width or length."""
    shown = [link for link in found.links if link.holds or link.fault in {"narrow", "long"}]
    return [shape for link in shown for shape in link_line(link, held.stations)]


__all__ = ["gap_marks", "link_mark", "link_shapes", "mended", "strength_marks"]
