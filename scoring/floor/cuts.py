"""Cuts: sets of stands of which every solution must hold at least one.

One idea makes all of them. Call a set K of stands *hopeless* when no connected part of it can cover every room.
A solution is connected and covers every room, so it has a station outside K::

    sum of x_s over the stands outside K  >=  1

K is hopeless because it shows too little of some room (a *cover cut*), or because the stands that show one room
and those that show another lie in different parts of it (a *separator cut*). Right side 1, whatever has been
chosen: cuts whose right side hangs on a chosen station close slowly. The larger K, the stronger the cut, so
every K is grown until no stand can be added.

Separators come from a minimum vertex cut between two sets A and B that both have to be hit: each stand becomes
an arc from its "in" to its "out" node with its price as capacity, each link two arcs without limit. Family of
node-separator inequalities as in Carvajal, Constantino, Goycoolea, Vielma, Weintraub 2013, Operations Research
61(4), 824-836 (abstract read).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

from scoring.floor.demand import TOLERANCE_M2, Bools, Demand, Floats, Ints

PRICE_SCALE = 100_000
"""Flow capacities are whole numbers: a stand's price times this, plus one so that small cuts win."""


def grow(demand: Demand, kept: Bools, order: Sequence[int]) -> Bools:
    """The hopeless set ``kept`` with every stand added, in ``order``, that leaves it hopeless, (n,)."""
    grown = kept.copy()
    part = np.full(demand.stands, -1, dtype=np.int64)
    summed: dict[int, Floats] = {}
    for k, island in enumerate(demand.islands(np.flatnonzero(kept).tolist())):
        part[island] = k
        summed[k] = demand.columns[island].sum(axis=0)
    fresh = len(summed)
    for s in order:
        if grown[s]:
            continue
        touched = sorted({int(k) for k in part[demand.links[s]] if k >= 0})
        total = demand.columns[s] + sum((summed[k] for k in touched), np.zeros(demand.columns.shape[1]))
        if demand.short(demand.of_rooms(total)).size == 0:
            continue
        for k in touched:
            part[part == k] = fresh
            del summed[k]
        part[s] = fresh
        summed[fresh] = total
        grown[s] = True
        fresh += 1
    return grown


def must_hit(demand: Demand, room: int, kept: Bools, order: Sequence[int]) -> Bools:
    """A set that every solution hits: the stands outside a largest set, grown from ``kept`` in ``order``, that
    shows too little of one room, (n,). ``kept`` itself must show too little of it."""
    cells = demand.of_room[room]
    columns = demand.columns[:, cells]
    area = demand.area_m2[cells]
    grown = kept | (demand.alone_m2[:, room] <= 0.0)
    summed = columns[grown].sum(axis=0)
    target = demand.target_m2[room] - TOLERANCE_M2
    for s in order:
        if grown[s]:
            continue
        total = summed + columns[s]
        if np.minimum(total, area).sum() < target:
            summed = total
            grown[s] = True
    return ~grown


class Splitter:
    """Minimum vertex cuts in one link graph."""

    def __init__(self, demand: Demand) -> None:
        n = demand.stands
        rows, columns = np.nonzero(demand.links)
        self._stands = n
        self._source, self._sink = 2 * n, 2 * n + 1
        # node 2s is the "in" of stand s, 2s + 1 its "out".
        self._tails = np.concatenate([2 * np.arange(n), 2 * rows + 1])
        self._heads = np.concatenate([2 * np.arange(n) + 1, 2 * columns])
        self._links = rows.size

    def between(self, left: Bools, right: Bools, price: Floats) -> Ints:
        """The stands, least total ``price`` (0..1 each, (n,)) first and fewest next, without which no path of
        links leads from ``left`` to ``right``; a stand in both is on every path."""
        n = self._stands
        cost = np.minimum(np.round(price * PRICE_SCALE).astype(np.int64), PRICE_SCALE) + 1
        endless = int(cost.sum()) + 1
        a, b = np.flatnonzero(left), np.flatnonzero(right)
        tails = np.concatenate([self._tails, np.full(a.size, self._source), 2 * b + 1])
        heads = np.concatenate([self._heads, 2 * a, np.full(b.size, self._sink)])
        room = np.concatenate([cost, np.full(self._links + a.size + b.size, endless)]).astype(np.int32)
        network = csr_matrix((room, (tails, heads)), shape=(2 * n + 2, 2 * n + 2))
        flow = maximum_flow(network, self._source, self._sink).flow
        left_over = (network - flow).tocsr()
        left_over.data = (left_over.data > 0).astype(np.int32)
        left_over.eliminate_zeros()
        reached = np.zeros(2 * n + 2, dtype=bool)
        reached[breadth_first_order(left_over, self._source, return_predecessors=False)] = True
        return np.flatnonzero(reached[0 : 2 * n : 2] & ~reached[1 : 2 * n : 2])


def separators(demand: Demand, splitter: Splitter, chosen: Sequence[int], islands: list[list[int]]) -> list[Ints]:
    """Cuts that a disconnected choice breaks: for every island, the fewest stands of which one must be added so
    that it can meet the rest, each grown to the strongest cut."""
    picked = np.zeros(demand.stands, dtype=bool)
    picked[list(chosen)] = True
    price = np.where(picked, 1.0, 1.0 / demand.stands)
    found: list[Ints] = []
    for island in islands[: max(1, len(islands) - 1)] if len(islands) == 2 else islands:
        inside = np.zeros(demand.stands, dtype=bool)
        inside[island] = True
        near = _hops(demand, inside)
        others = picked & ~inside
        far_first = np.argsort(-near, kind="stable").tolist()
        near_first = np.argsort(near, kind="stable").tolist()
        for left in _sides(demand, others, far_first, 2):
            for right in _sides(demand, inside, near_first, 2):
                cut = splitter.between(left, right, price)
                if cut.size and not picked[cut].any():
                    found.append(_strongest(demand, cut, near_first))
    return found


def _sides(demand: Demand, kept: Bools, order: Sequence[int], most: int) -> list[Bools]:
    """Sets to be hit that the kept stands do not hit, one for each of the rooms they show least of."""
    shown = demand.shown_m2(np.flatnonzero(kept).tolist())
    lacking = demand.short(shown)
    worst = lacking[np.argsort(shown[lacking] / np.maximum(demand.target_m2[lacking], 1e-9), kind="stable")]
    return [must_hit(demand, int(room), kept, order) for room in worst[:most]]


def _strongest(demand: Demand, cut: Ints, order: Sequence[int]) -> Ints:
    """The cut with every stand left out that it can do without."""
    kept = np.ones(demand.stands, dtype=bool)
    kept[cut] = False
    return np.flatnonzero(~grow(demand, kept, [s for s in order if not kept[s]]))


def _hops(demand: Demand, start: Bools) -> Ints:
    """Links to cross from the start to each stand; n where there is no way, (n,)."""
    distance = np.full(demand.stands, demand.stands, dtype=np.int64)
    distance[start] = 0
    edge = start.copy()
    step = 0
    while edge.any():
        step += 1
        edge = demand.links[edge].any(axis=0) & (distance == demand.stands)
        distance[edge] = step
    return distance


__all__ = ["Splitter", "grow", "must_hit", "separators"]
