"""What a grade of *join* says: the islands as they are, whether they are joined, and with how many stations."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.drill import Json, Mark
from scoring.floor.findings import Stand, Survey
from scoring.floor.graph import island_count
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.stands import stand
from scoring.floor.survey import survey
from scoring.kinds.drawing import island_lines, station_point
from scoring.kinds.footholds import Held, usable
from scoring.kinds.words import Names, counted, listed, spot, start, stations


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
    def given_left(self) -> int:
        """Islands that the given stations still form."""
        return sum(island[0] < len(self.given) for island in self.whole.islands)

    @property
    def strays(self) -> list[int]:
        """Added stations that are linked to no given one, as indices of those held."""
        return [one for island in self.whole.islands if island[0] >= len(self.given) for one in island]

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


def island_mark(
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
    apart = [a in home and home[a] != home.get(b) for a in island for b in others]
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


def join_mark(found: Found, key: Mapping[str, Json], weight: float) -> Mark:
    """Islands of the given stations joined, of those that had to be and of the strays added to them.

    The stored repair is what would mend it, or the strays that can go.
    """
    had, strays = len(key["islands"]), found.strays
    words = f"The set is still {found.left} islands: {_groups(found)}."
    mend = ""
    missing: list[Station] = []
    if found.left == 1:
        words = f"With {stations(found.held.numbers[len(found.given) :])} added, all stations form one connected set."
    elif found.given_left == 1:
        mend = f"The given ones are joined; take away {stations([found.held.numbers[one] for one in strays])}."
    else:
        missing = _repair(key)
        where = listed([spot(one.x, one.y) for one in missing])
        mend = f"{start(counted(len(missing), 'more station'))} at {where} would join the given ones."
    return Mark(
        criterion="link",
        title="One connected set",
        credit=max(0.0, (had - found.given_left) / (had - 1 + len(strays))),
        weight=weight,
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


def added_mark(found: Found, key: Mapping[str, Json], weight: float) -> Mark:
    """No more than the fewest costs nothing; it is worth nothing while the given stations are not joined."""
    fewest, count = key["fewest"], len(found.added)
    joined = found.given_left == 1
    idle = _idle(found) if joined and (count > fewest or found.strays) else []
    words = f"{start(counted(count, 'station'))} added; {fewest} of the listed stands would join all, and no fewer."
    mend = ""
    if idle:
        one_set = "the others are one set" if found.strays else "the set stays one"
        mend = f"Take away {stations([found.held.numbers[one] for one in idle])}: {one_set}."
    return Mark(
        criterion="count",
        title="Number of stations added",
        credit=min(1.0, fewest / count) if joined and count else 0.0,
        weight=weight,
        value=float(count),
        limit=float(fewest),
        unit="",
        words=words,
        mend=mend,
        shapes=tuple(station_point("spare", found.held.stations[one], str(found.held.numbers[one])) for one in idle),
    )


def _idle(found: Found) -> list[int]:
    """Added stations that can all go at once with the given ones in one set, strays and then the last added first.

    Indices of those held, in order.
    """
    links = [(link.a, link.b) for link in found.whole.links if link.holds]
    idle = found.strays
    kept = [one for one in range(len(found.held.stations)) if one not in idle]
    for one in [one for one in reversed(kept) if one >= len(found.given)]:
        rest = [other for other in kept if other != one]
        if island_count(rest, links) == 1:
            kept = rest
            idle.append(one)
    return sorted(idle)


__all__ = ["Found", "added_mark", "island_mark", "join_mark", "measure"]
