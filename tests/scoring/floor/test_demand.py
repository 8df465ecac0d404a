from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components

from scoring.floor.demand import Demand, dominated
from scoring.floor.greedy import greedy
from scoring.floor.prove import Lack, prove


def chain(count: int, *, rooms: int | None = None) -> Demand:
    """Stands in a row, each seeing its own room alone and linked to its neighbours."""
    rooms = rooms or count
    links = np.zeros((count, count), dtype=bool)
    for s in range(count - 1):
        links[s, s + 1] = links[s + 1, s] = True
    shares = np.zeros((rooms, count))
    for g in range(rooms):
        shares[g, round(g * (count - 1) / max(rooms - 1, 1))] = 1.0
    return Demand(shares, np.ones(rooms), np.arange(rooms), np.full(rooms, 0.9), links)


def test_it_puts_stations_between_that_show_nothing_but_join() -> None:
    demand = chain(7, rooms=2)
    proof = prove(demand)
    assert proof.status == "proven"
    assert proof.chosen == (0, 1, 2, 3, 4, 5, 6)
    assert proof.lower == 7


def test_a_stand_that_shows_everything_is_enough_alone() -> None:
    demand = chain(4)
    demand = Demand(np.column_stack([demand.shares, np.ones(4)]), demand.area_m2, demand.room, demand.target_m2,
                    np.pad(demand.links, ((0, 1), (0, 1))))  # fmt: skip
    assert prove(demand).chosen == (4,)


@pytest.mark.parametrize("seed", range(5))
def test_islands_are_the_connected_components_of_scipy(seed: int) -> None:
    """``scipy.sparse.csgraph.connected_components`` labels the same graph."""
    rng = np.random.default_rng(seed)
    links = np.triu(rng.random((70, 70)) < 0.02, 1)
    demand = Demand(np.zeros((1, 70)), np.ones(1), np.zeros(1, dtype=np.int64), np.zeros(1), links | links.T)
    chosen = sorted(rng.choice(70, 45, replace=False).tolist())
    _, label = connected_components(csr_matrix(links[np.ix_(chosen, chosen)]), directed=False)
    parts = {frozenset(np.array(chosen)[label == k].tolist()) for k in set(label.tolist())}
    islands = demand.islands(chosen)
    assert set(map(frozenset, islands)) == parts
    assert len(islands) == len(parts) > 1
    assert [len(island) for island in islands] == sorted(map(len, islands), reverse=True)
    assert all(island == sorted(island) for island in islands)


def test_a_link_that_is_taken_back_parts_an_island() -> None:
    demand = chain(4)
    assert demand.islands(range(4)) == [[0, 1, 2, 3]]
    demand.unlink([(1, 2)])
    assert demand.islands(range(4)) == [[0, 1], [2, 3]]


def test_what_no_connected_set_covers_is_impossible() -> None:
    demand = chain(4)
    links = demand.links.copy()
    links[1, 2] = links[2, 1] = False
    broken = Demand(demand.shares, demand.area_m2, demand.room, demand.target_m2, links)
    assert prove(broken).status == "impossible"
    assert greedy(broken) is None


def test_fixed_stands_stay() -> None:
    demand = chain(5, rooms=2)
    easy = Demand(demand.shares, demand.area_m2, demand.room, np.zeros(2), demand.links)
    proof = prove(easy, fixed=(0, 3))
    assert proof.chosen == (0, 1, 2, 3)
    assert proof.status == "proven"


def test_asked_for_fewer_than_there_are_it_says_above() -> None:
    proof = prove(chain(5), at_most=4)
    assert (proof.status, proof.lower, proof.chosen) == ("above", 5, None)


def test_a_check_that_refuses_makes_it_take_another() -> None:
    shares = np.ones((1, 3))
    links = ~np.eye(3, dtype=bool)
    demand = Demand(shares, np.ones(1), np.zeros(1, dtype=np.int64), np.full(1, 0.9), links)

    def only_with_two(chosen: object) -> Lack | None:
        return None if 2 in chosen else Lack(np.array([2]), 0, 0.1)  # type: ignore[operator]

    assert 2 in (prove(demand, check=only_with_two).chosen or ())


def test_estimated_links_that_do_not_hold_are_taken_back() -> None:
    links = ~np.eye(4, dtype=bool)
    shares = np.zeros((2, 4))
    shares[0, 0] = shares[1, 3] = 1.0
    demand = Demand(shares, np.ones(2), np.arange(2), np.full(2, 0.9), links)
    proof = prove(demand, untrue=lambda chosen: [(0, 3)] if {0, 3} <= set(chosen) else [])
    assert proof.chosen is not None
    assert len(proof.chosen) == 3
    assert {0, 3} < set(proof.chosen)


def test_a_stand_that_sees_less_and_links_to_less_is_dominated() -> None:
    demand = chain(3)
    shares = np.column_stack([demand.shares, demand.shares[:, 1] * 0.5])
    links = np.zeros((4, 4), dtype=bool)
    links[:3, :3] = demand.links
    links[3, 0] = links[0, 3] = True
    demand = Demand(shares, demand.area_m2, demand.room, demand.target_m2, links)
    assert dominated(demand).tolist() == [False, False, False, True]


def test_of_two_equal_stands_one_stays() -> None:
    links = ~np.eye(2, dtype=bool)
    demand = Demand(np.ones((1, 2)), np.ones(1), np.zeros(1, dtype=np.int64), np.ones(1), links)
    assert dominated(demand).sum() == 1


def test_shapes_that_disagree_are_refused() -> None:
    demand = chain(3)
    with pytest.raises(ValueError, match="cells"):
        Demand(demand.shares, np.ones(2), demand.room, demand.target_m2, demand.links)


@pytest.mark.parametrize("count", [3, 6, 9])
def test_a_greedy_set_holds(count: int) -> None:
    demand = chain(count)
    found = greedy(demand)
    assert found is not None
    assert demand.meets(found)
