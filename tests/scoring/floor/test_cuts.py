from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from scoring.floor.cuts import Splitter, grow, must_hit, separators
from scoring.floor.demand import Demand


def lattice(seed: int) -> Demand:
    """A 3 x 4 lattice of stands with two or three random rooms of cells."""
    rng = np.random.default_rng(seed)
    n, rooms = 12, 2 + seed % 2
    links = np.zeros((n, n), dtype=bool)
    for s in range(n):
        for t in (s + 1 if s % 4 < 3 else s, s + 4 if s < 8 else s):
            if t != s:
                links[s, t] = links[t, s] = rng.random() < 0.85
    shares = (rng.random((rooms * 3, n)) < 0.25).astype(float)
    room = np.repeat(np.arange(rooms), 3)
    bare = Demand(shares, np.ones(rooms * 3), room, np.zeros(rooms), links)
    return Demand(shares, np.ones(rooms * 3), room, 0.7 * bare.shown_m2(range(n)), links)


@cache
def solutions(seed: int) -> list[set[int]]:
    demand = lattice(seed)
    sizes = range(1, demand.stands + 1)
    return [set(c) for k in sizes for c in combinations(range(demand.stands), k) if demand.meets(c)]


@pytest.mark.parametrize("seed", range(6))
def test_every_solution_leaves_a_grown_hopeless_set(seed: int) -> None:
    demand = lattice(seed)
    found = solutions(seed)
    rng = np.random.default_rng(seed)
    kept = grow(demand, np.zeros(demand.stands, dtype=bool), rng.permutation(demand.stands).tolist())
    assert demand.hopeless(kept)
    outside = set(np.flatnonzero(~kept).tolist())
    assert all(outside & solution for solution in found)


@pytest.mark.parametrize("seed", range(6))
def test_a_grown_hopeless_set_is_as_large_as_can_be(seed: int) -> None:
    demand = lattice(seed)
    kept = grow(demand, np.zeros(demand.stands, dtype=bool), range(demand.stands))
    for s in np.flatnonzero(~kept):
        more = kept.copy()
        more[s] = True
        assert not demand.hopeless(more)


@pytest.mark.parametrize("seed", range(6))
def test_every_solution_hits_what_a_room_must_have(seed: int) -> None:
    demand = lattice(seed)
    for room in range(demand.rooms):
        hit = set(np.flatnonzero(must_hit(demand, room, np.zeros(demand.stands, dtype=bool), range(demand.stands))))
        assert all(hit & solution for solution in solutions(seed))


@pytest.mark.parametrize("seed", range(8))
def test_separators_cut_off_a_disconnected_choice_and_no_solution(seed: int) -> None:
    demand = lattice(seed)
    found = solutions(seed)
    tried = 0
    for size in range(2, 6):
        for chosen in combinations(range(demand.stands), size):
            islands = demand.islands(chosen)
            if len(islands) < 2 or not demand.covers(chosen):
                continue
            if any(demand.covers(island) for island in islands):
                continue
            cuts = separators(demand, Splitter(demand), chosen, islands)
            for cut in cuts:
                assert not set(cut.tolist()) & set(chosen)
                assert all(set(cut.tolist()) & solution for solution in found)
            if found:
                assert cuts
            tried += 1
            if tried > 25:
                return


def test_the_fewest_stands_part_two_ends() -> None:
    links = np.zeros((5, 5), dtype=bool)
    for a, b in ((0, 1), (1, 4), (0, 2), (2, 4), (0, 3), (3, 4)):
        links[a, b] = links[b, a] = True
    demand = Demand(np.zeros((1, 5)), np.ones(1), np.zeros(1, dtype=np.int64), np.zeros(1), links)
    left, right = np.arange(5) == 0, np.arange(5) == 4
    price = np.array([9.0, 0.1, 0.1, 0.1, 9.0])
    assert Splitter(demand).between(left, right, np.minimum(price, 1.0)).tolist() == [1, 2, 3]
