"""A first set of stations when no proof has been found in time: good, not proven."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scoring.floor.demand import Demand, Floats, Ints
from scoring.floor.prove import Check, Untrue


def greedy(
    demand: Demand, check: Check | None = None, untrue: Untrue | None = None, *, first: int | None = None
) -> tuple[int, ...] | None:
    """A connected set that covers every room and passes the check; None when this way finds none.

    It starts with the stand that shows most, or from ``first``, and grows along the path of links whose end gains most
    of the floor still asked for, per stand; then it lets go of every stand it can do without. Links that turn out not
    to hold are taken back and it starts again.
    """
    demand = demand.part(range(demand.stands))
    chosen = _grown(demand, first)
    while chosen and untrue and (pairs := untrue(chosen)):
        demand.unlink(pairs)
        chosen = _grown(demand, first)
    while chosen and check and (lack := check(chosen)) is not None:
        near = [int(s) for s in lack.cut if demand.links[s, chosen].any()]
        near = [s for s in near if not (untrue and untrue([*chosen, s]))]
        if not near:
            return None
        chosen.append(near[0])
    if not chosen:
        return None
    for s in sorted(chosen, key=lambda s: float(demand.columns[s].sum())):
        rest = [other for other in chosen if other != s]
        if rest and demand.meets(rest) and (check is None or check(rest) is None):
            chosen = rest
    return tuple(sorted(chosen))


def _grown(demand: Demand, first: int | None) -> list[int] | None:
    if first is None:
        first = int(_worth(demand, np.zeros(demand.area_m2.size), np.arange(demand.stands)).argmax())
    chosen = [first]
    summed = demand.columns[first].copy()
    while demand.short(demand.of_rooms(summed)).size:
        hops, back = _paths(demand, chosen)
        open_to = np.flatnonzero((hops > 0) & (hops < demand.stands))
        if open_to.size == 0:
            return None
        worth = _worth(demand, summed, open_to)
        if worth.max() <= 0.0:
            return None
        s = int(open_to[(worth / hops[open_to]).argmax()])
        while s not in chosen:
            chosen.append(s)
            summed += demand.columns[s]
            s = int(back[s])
    return chosen


def _worth(demand: Demand, summed: Floats, among: Ints) -> Floats:
    """Floor still asked for that each stand would add [m²]."""
    now = np.minimum(demand.of_rooms(summed), demand.target_m2).sum()
    after = [np.minimum(demand.of_rooms(summed + demand.columns[s]), demand.target_m2).sum() for s in among]
    gain: Floats = np.asarray(after) - now
    return gain


def _paths(demand: Demand, chosen: Sequence[int]) -> tuple[Ints, Ints]:
    """Links from the chosen stands to each stand (n where there is no way), and the stand before it."""
    hops = np.full(demand.stands, demand.stands, dtype=np.int64)
    back = np.full(demand.stands, -1, dtype=np.int64)
    edge = sorted(chosen)
    hops[edge] = 0
    while edge:
        ahead: list[int] = []
        for s in edge:
            for t in np.flatnonzero(demand.links[s] & (hops == demand.stands)):
                hops[t], back[t] = hops[s] + 1, s
                ahead.append(int(t))
        edge = ahead
    return hops, back


__all__ = ["greedy"]
