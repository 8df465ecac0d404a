"""Islands of chosen stands against the components of an independent library, networkx."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from scoring.floor.demand import Demand


@pytest.mark.parametrize("seed", range(20))
def test_islands_are_the_components_of_the_chosen_stands(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = 30
    upper = np.triu(rng.random((n, n)) < 0.06, 1)
    demand = Demand(np.zeros((0, n)), np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros(0), upper | upper.T)
    chosen = sorted(rng.choice(n, 18, replace=False).tolist())
    graph = nx.Graph()
    graph.add_nodes_from(chosen)
    graph.add_edges_from((a, b) for a in chosen for b in chosen if a < b and upper[a, b])
    expected = {frozenset(part) for part in nx.connected_components(graph)}
    assert {frozenset(part) for part in demand.islands(chosen)} == expected
