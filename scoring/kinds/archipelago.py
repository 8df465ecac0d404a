"""Stations that clearly form islands, drawn by a seed. For *join*."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from random import Random

from scoring.drill import Json, Unfit
from scoring.floor.findings import Link
from scoring.floor.graph import islands
from scoring.floor.links import link
from scoring.floor.listing import listed_stands
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.stands import stand

LISTED = 160
LEAST, MOST = 4, 7
"""Given stations of a case."""
ISLANDS_MOST = 4
APART_M = 1.0
"""No two stations of a case stand nearer to each other."""
DRAWS = 60


@dataclass(frozen=True, slots=True)
class Islands:
    """Stations in no telling order and the islands that they form (indices)."""

    stations: tuple[Station, ...]
    islands: tuple[tuple[int, ...], ...]


def parted(place: Place, seed: int, turn: int = 0) -> Islands:
    """Stations that part into islands whichever way the placement error falls; other ones each turn.

    Raises Unfit when none are drawn.
    """
    rng = Random(f"join/{seed}/{turn}" if turn else f"join/{seed}")  # noqa: S311 (no secret)
    by_room: dict[tuple[int, str], list[Station]] = {}
    for one in listed_stands(place, target_stands=LISTED):
        room = place.room(one)
        if room is not None and not room.space.outdoor:
            by_room.setdefault((one.level, room.space.id), []).append(one)
    for _ in range(DRAWS):
        spots = _drawn(place, [by_room[key] for key in sorted(by_room)], rng)
        if len(spots) < LEAST:
            continue
        found = _clear_islands(place, spots)
        if found and 2 <= len(found) <= ISLANDS_MOST and 2 * len(found) <= len(spots):
            return Islands(tuple(spots), found)
    raise Unfit(f"seed {seed}: no stations that clearly form islands")


def _drawn(place: Place, stands: Sequence[Sequence[Station]], rng: Random) -> list[Station]:
    """Allowed stands, one of each room as long as there are enough, then of any room."""
    count = rng.randint(LEAST, MOST)
    order = [rng.choice(room) for room in rng.sample(stands, len(stands))]
    order += [rng.choice(rng.choice(stands)) for _ in range(MOST)] if stands else []
    spots: list[Station] = []
    for one in order:
        apart = all(one.level != other.level or hypot(one.x - other.x, one.y - other.y) >= APART_M for other in spots)
        if len(spots) < count and apart:
            found = stand(place, one)
            if found.allowed and found.firm:
                spots.append(one)
    rng.shuffle(spots)
    return spots


def _clear_islands(place: Place, spots: Sequence[Station]) -> tuple[tuple[int, ...], ...]:
    """The islands of some stations; empty when they hang on the placement error."""
    pairs = [link(place, a, b, names=(i, j)) for j, b in enumerate(spots) for i, a in enumerate(spots[:j])]
    sure = islands(len(spots), [(one.a, one.b) for one in pairs if _sure(one)])
    perhaps = islands(len(spots), [(one.a, one.b) for one in pairs if one.holds or not one.firm])
    return sure if sure == perhaps else ()


def _sure(one: Link) -> bool:
    return one.fault is None and one.firm


def blind_answers(count: int, thrown: Sequence[Json], seed: int) -> list[list[Json]]:
    """Answers without a look at the plan: all on one island, each alone, or halves at random; stations thrown down."""
    rng = Random(f"blind/{seed}")  # noqa: S311 (no secret)
    everyone = list(range(1, count + 1))
    strategies: list[list[Json]] = [[], [], []]
    for one in thrown:
        mixed = rng.sample(everyone, count)
        for strategy, named in zip(
            strategies,
            ([everyone], [[number] for number in everyone], [mixed[: count // 2], mixed[count // 2 :]]),
            strict=True,
        ):
            strategy.append({"islands": named, **one})
    return strategies


__all__ = ["Islands", "blind_answers", "parted"]
