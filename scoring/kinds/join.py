"""Join: which of the given stations form islands, and the fewest more that make one set of them.

    criterion   weight   what earns it
    islands      0.40    each island named: its pairs put together, times its pairs with all others kept apart
    link         0.35    islands joined, of those that had to be
    stand        0.10    added stations that stand where a tripod may
    count        0.15    no more added than the fewest of the listed stands, once all is joined

The given stations part clearly: every link that joins two of them holds with the placement error to spare, and no
pair of different islands is within that error of a link.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.drill import Grade, Json, KindName, Mark, Recipe, Task, Unfit
from scoring.floor.findings import Stand, Survey
from scoring.floor.graph import island_count
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.repair import join_islands
from scoring.floor.stands import stand
from scoring.floor.survey import survey
from scoring.kinds import rooms
from scoring.kinds.answers import STATIONS_MAX, fields, groups, read_stations
from scoring.kinds.archipelago import Islands, blind_answers, parted
from scoring.kinds.case import (
    Source,
    build,
    given_stations,
    place_of,
    placed_as_stored,
    refuse_unknown,
    with_guess_floor,
)
from scoring.kinds.drawing import island_lines, reference_shapes, station_point
from scoring.kinds.footholds import Held, stand_marks, usable
from scoring.kinds.link_marks import gap_marks, link_shapes, strength_marks
from scoring.kinds.references import links_between
from scoring.kinds.tally import tally
from scoring.kinds.words import Names, counted, listed, spot, start, stations
from scoring.rig.kit import Kit
from scoring.standard import Standard

NAME: KindName = "join"
TITLE = "Join the islands"
SKILLS = ("D2", "D3")

WEIGHTS = {"islands": 0.40, "link": 0.35, "stand": 0.10, "count": 0.15}
CRITERIA = {"D3": frozenset({"link", "stand", "count"})}
MOST_ADDED = 3
"""A repair of more stations than this is a placement, not a repair."""


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """Stations of a varied place that form islands, with the proven fewest that join them in the key.

    Settings: ``vary`` (true). Raises Unfit when the seed makes no clear islands or no proven repair of them.
    """
    refuse_unknown(recipe, ())
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    case = parted(place, seed)
    repair = join_islands(place, case.stations, case.islands, limit_s=6.0)
    if not repair.stations or not repair.proven or len(repair.stations) > MOST_ADDED:
        raise Unfit(f"seed {seed}: no proven repair of at most {MOST_ADDED} stations")
    spots = rooms.stations_json(repair.stations)
    named = [[index + 1 for index in island] for island in case.islands]
    reference = {"stations": [list(one) for one in repair.stations], "links": _links(place, repair.stations)}
    task = build(
        source,
        varied,
        asks={"islands": len(case.stations), "stations": {"least": 0, "most": STATIONS_MAX}},
        key={"islands": named, "reference": reference, "fewest": len(repair.stations)},
        difficulty_logit=difficulty_logit(case, len(repair.stations), len(varied.flights)),
        given=case.stations,
    )
    own = grade(task, {"islands": named, "stations": spots}, standard)
    if own.verdict != "holds":
        raise Unfit(f"seed {seed}: the repair does not hold: {own.summary}")
    blind = blind_answers(len(case.stations), rooms.thrown(place, len(repair.stations), seed), seed)
    return with_guess_floor(task, lambda made, answer: grade(made, answer, standard), blind)


def _links(place: Place, found: Sequence[tuple[int, float, float]]) -> list[Json]:
    return links_between(place, [Station(level=level, x=x, y=y) for level, x, y in found])


def difficulty_logit(case: Islands, added: int, flights: int) -> float:
    """Prior difficulty [logit] from features of the case; prior SD 0.6.

    -0.8, 0.15 for each given station beyond four, 0.35 for each island beyond two, 0.4 for each station of the
    repair beyond one, 0.25 for each flight; no more than 3.
    """
    logit = -0.8 + 0.15 * (len(case.stations) - 4) + 0.35 * (len(case.islands) - 2) + 0.4 * (added - 1)
    return min(3.0, max(-3.0, logit + 0.25 * flights))


@dataclass(frozen=True, slots=True)
class Found:
    """What was measured about an answer."""

    given: tuple[Station, ...]
    added: tuple[Station, ...]
    stands: tuple[Stand, ...]
    """Of the added stations."""
    held: Held
    """The given stations and the added ones from which a spin could be shot."""
    whole: Survey
    """Of the stations held."""

    @property
    def left(self) -> int:
        """Islands that are left."""
        return len(self.whole.islands)

    @property
    def refused(self) -> list[int]:
        """Numbers of the added stations that stand where no tripod may."""
        return [len(self.given) + order for order, one in enumerate(self.stands, 1) if not one.allowed]


def measure(place: Place, given: tuple[Station, ...], added: tuple[Station, ...]) -> Found:
    """Survey the given stations with those of the added ones that show anything."""
    stands = tuple(stand(place, station) for station in added)
    more = usable(added, stands)
    numbers = (*range(1, len(given) + 1), *(len(given) + number for number in more.numbers))
    held = Held((*given, *more.stations), numbers)
    return Found(given, added, stands, held, survey(place, held.stations, {}))


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade the islands named and the stations added. Raises AnswerError."""
    place = place_of(task, standard)
    given = given_stations(task)
    read = fields(answer, {"islands", "stations"}, {"islands"})
    said = groups(read["islands"], "islands", len(given))
    found = measure(place, given, read_stations(read, place.plan))
    islands: list[list[int]] = task.key["islands"]
    names = Names(place.plan)
    marks = [
        *(
            _island_mark(place, names, given, island, said, WEIGHTS["islands"] / len(islands), number)
            for number, island in enumerate(islands, 1)
        ),
        _link_mark(found, task.key),
        *stand_marks(place, found.added, found.stands, WEIGHTS["stand"], task.key["fewest"], len(given) + 1),
        _count_mark(found, task.key),
        *gap_marks(found.whole, found.held),
        *strength_marks(found.whole, found.held),
    ]
    wrong = [number for number, mark in enumerate(marks[: len(islands)], 1) if mark.credit < 1.0]
    whole = [[number - 1 for number in island] for island in islands]
    return tally(
        task,
        marks,
        sound=not wrong and found.left == 1 and not found.refused,
        summary=_summary(found, wrong, islands, task.key["fewest"]),
        shapes=[
            *island_lines(whole, given),
            *link_shapes(found.whole, found.held),
            *reference_shapes(task.key["reference"]),
        ],
        criteria=CRITERIA,
    )


def _island_mark(
    place: Place,
    names: Names,
    given: Sequence[Station],
    island: Sequence[int],
    said: Sequence[Sequence[int]],
    weight: float,
    number: int,
) -> Mark:
    """One true island: its pairs that the answer puts together, and those with others that it keeps apart."""
    home = {one: order for order, group in enumerate(said) for one in group}
    others = [one for one in range(1, len(given) + 1) if one not in island]
    inside = [(a, b) for a in island for b in island if a < b]
    together = [a in home and home.get(a) == home.get(b) for a, b in inside]
    apart = [a in home and b in home and home[a] != home[b] for a in island for b in others]
    credit = (sum(together) / len(together) if together else 1.0) * sum(apart) / len(apart)
    within = listed(_rooms(place, names, [given[one - 1] for one in island]))
    words = f"{start(stations(island))}, in {within}, {'stands alone' if len(island) == 1 else 'form one island'}."
    mend = ""
    if credit < 1.0:
        missing = [one for one in island if one not in home]
        joined = [one for one in others if any(one in home and home[one] == home.get(a) for a in island)]
        mend = f"Put {stations(island)} on one island." if len(island) > 1 else f"Keep {stations(island)} by itself."
        if missing:
            mend = f"Name an island for {stations(missing)}."
        elif joined:
            mend = f"{start(stations(joined))} {'has' if len(joined) == 1 else 'have'} no link to this island."
    return Mark(
        criterion="islands",
        title=f"Island {number}",
        credit=credit,
        weight=weight,
        value=100.0 * (sum(together) + sum(apart)) / (len(together) + len(apart)),
        limit=100.0,
        unit="%",
        words=words,
        mend=mend,
        shapes=tuple(station_point("island", given[one - 1], str(one)) for one in island),
    )


def _rooms(place: Place, names: Names, spots: Sequence[Station]) -> list[str]:
    """The rooms that stations stand in, each once."""
    found = [(one.level, room.space.id if room is not None else None) for one in spots for room in [place.room(one)]]
    return [names.room(level, space) for level, space in dict.fromkeys(found)]


def _link_mark(found: Found, key: Mapping[str, Json]) -> Mark:
    had = len(key["islands"])
    words = f"The set is still {found.left} islands: {_groups(found)}."
    mend, missing = "", []
    if found.left == 1:
        words = f"With {stations(found.held.numbers[len(found.given) :])} added, all stations form one connected set."
    else:
        missing = _repair(key)
        where = listed([spot(one.x, one.y) for one in missing])
        mend = f"{start(counted(len(missing), 'more station'))} at {where} would join the given ones."
    return Mark(
        criterion="link",
        title="One connected set",
        credit=max(0.0, (had - found.left) / (had - 1)),
        weight=WEIGHTS["link"],
        value=float(found.left),
        limit=1.0,
        unit="",
        words=words,
        mend=mend,
        shapes=(
            *(island_lines(found.whole.islands, found.held.stations) if found.left > 1 else ()),
            *(station_point("missing", one) for one in missing),
        ),
        firm=not any(link.benefit for link in found.whole.links),
    )


def _repair(key: Mapping[str, Json]) -> list[Station]:
    return [Station(level=level, x=x, y=y) for level, x, y in key["reference"]["stations"]]


def _groups(found: Found) -> str:
    return "; ".join(listed([str(found.held.numbers[index]) for index in island]) for island in found.whole.islands)


def _count_mark(found: Found, key: Mapping[str, Json]) -> Mark:
    """No more than the fewest costs nothing; it is worth nothing while the set is not joined."""
    fewest, count = key["fewest"], len(found.added)
    idle = _idle(found) if found.left == 1 and count > fewest else []
    words = f"{start(counted(count, 'station'))} added; {fewest} of the listed stands would join all, and no fewer."
    mend = ""
    if idle:
        mend = f"Take away {stations([found.held.numbers[one] for one in idle])}: the set stays one."
    return Mark(
        criterion="count",
        title="Number of stations added",
        credit=min(1.0, fewest / count) if found.left == 1 and count else 0.0,
        weight=WEIGHTS["count"],
        value=float(count),
        limit=float(fewest),
        unit="",
        words=words,
        mend=mend,
        shapes=tuple(station_point("spare", found.held.stations[one], str(found.held.numbers[one])) for one in idle),
    )


def _idle(found: Found) -> list[int]:
    """Added stations that can all go at once with the set still one, the last added first; indices in order."""
    links = [(link.a, link.b) for link in found.whole.links if link.holds]
    kept = list(range(len(found.held.stations)))
    idle = []
    for one in reversed(range(len(found.given), len(kept))):
        rest = [other for other in kept if other != one]
        if island_count(rest, links) == 1:
            kept = rest
            idle.append(one)
    return sorted(idle)


def _summary(found: Found, wrong: Sequence[int], islands: Sequence[Sequence[int]], fewest: int) -> str:
    named = f"All {len(islands)} islands are named right"
    if wrong:
        named = f"{len(islands) - len(wrong)} of {len(islands)} islands are named right"
    count = counted(len(found.added), "added station")
    joined = f"{count} join them; {fewest} would do" if len(found.added) > fewest else f"{count} join them"
    if len(found.added) == 1:
        joined = "1 added station joins them"
    if not found.added:
        joined = "no station is added yet"
    elif found.left > 1:
        joined = f"with {count} {found.left} islands are left"
    refused = f"; {stations(found.refused)} may not stand there" if found.refused else ""
    return f"{named}; {joined}{refused}."


__all__ = ["CRITERIA", "NAME", "SKILLS", "TITLE", "Found", "difficulty_logit", "grade", "make", "measure"]
