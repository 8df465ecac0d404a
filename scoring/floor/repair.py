"""The fewest more stations that join islands, out of the named list."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scoring.floor.demand import Bools, Demand, Floats
from scoring.floor.findings import Repair
from scoring.floor.links import link
from scoring.floor.listing import listed_stands
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.prove import prove
from scoring.floor.sightings import sightings

ROUNDS, SHARP = 10, 3
"""How hard a repair of several stations is looked for: it is part of a grade."""

LISTED = 160
"""Stands on the list that a repair is looked for in: a repair is drawn while a person waits for a grade."""

MOST = 6
"""Repairs of more stations than this are not looked for."""


@quiet
def join_islands(
    place: Place, stations: Sequence[Station], islands: Sequence[Sequence[int]], *, limit_s: float = 2.0
) -> Repair:
    """The fewest listed stands that, added to the stations, join the given islands into one.

    ``islands`` hold indices of stations. One stand that links to every island is found by looking; more by the
    same proof as the fewest, with one stand of each island taken. Links with the benefit of the placement error
    count, as they do in a grade, but of equal repairs the one with the clearest links is given. Empty, and proven,
    when there is nothing to join; empty and not proven when the list has no repair.
    """
    joins = tuple(tuple(island) for island in islands)
    if len(joins) < 2:
        return Repair(joins, (), True)
    stands = listed_stands(place, target_stands=LISTED)
    near = sightings(place, [*stands, *stations], settle=False).forgiving[: len(stands), len(stands) :]
    # One stand is enough only where it may link to some station of every island: those are looked at first.
    promising = np.all([near[:, island].any(axis=1) for island in joins], axis=0)
    reach = _reach(place, stations, joins, stands, near & promising[:, None])
    every = np.flatnonzero((reach > 0.0).all(axis=1))
    if every.size:
        best = stands[int(every[reach[every].min(axis=1).argmax()])]
        return Repair(joins, ((best.level, best.x, best.y),), True)
    reach = np.maximum(reach, _reach(place, stations, joins, stands, near & ~promising[:, None]))
    sights = place.keep(("sightings", stands), lambda: sightings(place, stands, settle=False))
    n, k = len(stands), len(joins)
    links = np.zeros((n + k, n + k), dtype=bool)
    links[:n, :n] = sights.forgiving
    links[:n, n:] = reach > 0.0
    links[n:, :n] = links[:n, n:].T
    known: dict[tuple[int, int], bool] = {}

    def untrue(chosen: Sequence[int]) -> list[tuple[int, int]]:
        pairs = [(a, b) for a in chosen for b in chosen if a < b < n and sights.guessed[a, b]]
        for a, b in pairs:
            if (a, b) not in known:
                known[a, b] = link(place, stands[a], stands[b]).holds
        return [pair for pair in pairs if not known[pair]]

    proof = prove(
        Demand(np.zeros((0, n + k)), np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros(0), links),
        fixed=range(n, n + k),
        at_most=k + MOST,
        limit_s=limit_s,
        rounds=ROUNDS,
        sharp=SHARP,
        untrue=untrue if sights.guessed.any() else None,
    )
    added = [stands[s] for s in proof.chosen or () if s < n]
    return Repair(joins, tuple((s.level, s.x, s.y) for s in added), proof.status == "proven")


def _reach(
    place: Place,
    stations: Sequence[Station],
    joins: Sequence[Sequence[int]],
    stands: Sequence[Station],
    among: Bools,
) -> Floats:
    """The clearest link from each stand to each island [m], 0 without one; (stands, islands). Looked for ``among``
    these pairs of a stand and a station, (stands, stations)."""
    found = np.zeros((len(stands), len(joins)))
    for k, island in enumerate(joins):
        for member in island:
            for s in np.flatnonzero(among[:, member]):
                seen = link(place, stands[int(s)], stations[member])
                if seen.holds:
                    found[s, k] = max(found[s, k], seen.clear_m, 1e-3)
    return found


__all__ = ["join_islands"]
