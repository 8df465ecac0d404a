from __future__ import annotations

from scoring.floor.graph import cut_stations, island_count, islands

CHAIN = [(0, 1), (1, 2), (2, 3)]


def test_stations_without_links_are_islands_of_their_own() -> None:
    assert islands(3, []) == ((0,), (1,), (2,))


def test_islands_are_listed_by_their_first_station() -> None:
    assert islands(5, [(4, 0), (3, 1)]) == ((0, 4), (1, 3), (2,))


def test_the_inner_stations_of_a_chain_are_cut_stations_and_a_ring_has_none() -> None:
    assert cut_stations(4, CHAIN) == (1, 2)
    assert cut_stations(4, [*CHAIN, (3, 0)]) == ()


def test_the_middle_of_a_star_is_a_cut_station() -> None:
    assert cut_stations(4, [(0, 1), (0, 2), (0, 3)]) == (0,)


def test_islands_are_counted_among_those_that_remain() -> None:
    assert island_count([0, 1, 3], CHAIN) == 2
    assert island_count([], CHAIN) == 0
