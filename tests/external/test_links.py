"""Links against outside values: clear widths by elementary geometry, islands and cut stations by networkx [library].

networkx finds components and articulation points after Hopcroft and Tarjan, 1973.
"""

from __future__ import annotations

import math

import networkx as nx
import numpy as np
import pytest

from scoring.floor.graph import cut_stations, islands
from scoring.floor.links import link
from scoring.floor.place import prepare
from tests.scoring.floor.small_plans import at, box, door, kit, level, plan, room, standard

DOOR, WALL = 0.80, 0.12


@pytest.mark.parametrize(("angle_deg", "printed_m"), [(0, 0.80), (30, 0.63), (45, 0.48), (60, 0.30), (70, 0.16)])
def test_clear_width_through_a_door_at_an_angle(angle_deg: float, printed_m: float) -> None:
    """w cos a - t sin a: elementary geometry."""
    spaces = [room("South", box(-6, -6, 6, -WALL / 2)), room("North", box(-6, WALL / 2, 6, 6))]
    way = door("south", "north", ((-DOOR / 2, 0.0), (DOOR / 2, 0.0)), depth_m=WALL)
    where = prepare(plan([level(spaces, [way])]), kit(), standard())
    angle = math.radians(angle_deg)
    far = (1.2 / math.cos(angle)) * math.sin(angle), 1.2
    found = link(where, at(-far[0], -far[1]), at(far[0], far[1]))
    assert found.clear_m == pytest.approx(DOOR * math.cos(angle) - WALL * math.sin(angle), abs=1e-6)
    assert round(found.clear_m, 2) == printed_m


@pytest.mark.parametrize("seed", range(40))
def test_islands_and_cut_stations_are_components_and_articulation_points(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 40))
    pairs = [(a, b) for a in range(count) for b in range(a + 1, count) if rng.random() < rng.uniform(0.5, 3.0) / count]
    graph = nx.Graph(pairs)
    graph.add_nodes_from(range(count))
    assert {frozenset(group) for group in islands(count, pairs)} == set(map(frozenset, nx.connected_components(graph)))
    assert cut_stations(count, pairs) == tuple(sorted(nx.articulation_points(graph)))
