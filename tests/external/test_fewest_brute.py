"""Fewest stations against brute force (elementary) and against OR-tools CP-SAT as a second solver [library]."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from ortools.sat.python import cp_model

from scoring.floor.demand import Demand
from scoring.floor.prove import prove


def chance(seed: int, stands: int, cells: int, rooms: int, *, partial: bool) -> Demand:
    """A random demand on points of the unit square: near stands link, near cells are seen."""
    rng = np.random.default_rng(seed)
    at = rng.random((stands, 2))
    spot = rng.random((cells, 2))
    away = np.linalg.norm(spot[:, None] - at[None], axis=2)
    reach = rng.uniform(0.2, 0.45)
    shares = (away < reach).astype(float)
    if partial:
        shares = np.round(shares * np.clip(1.6 - away / reach * rng.uniform(0.6, 1.4, away.shape), 0.0, 1.0), 3)
    room = np.minimum((spot[:, 0] * rooms).astype(np.int64), rooms - 1)
    area = rng.uniform(0.2, 2.0, cells)
    whole = np.bincount(room, weights=area, minlength=rooms)
    apart = np.linalg.norm(at[:, None] - at[None], axis=2)
    links = (apart < rng.uniform(0.25, 0.5)) & ~np.eye(stands, dtype=bool)
    everyone = Demand(shares, area, room, np.zeros(rooms), links)
    best = everyone.shown_m2(range(stands))
    return Demand(shares, area, room, np.minimum(0.9 * whole, 0.97 * best), links)


def brute(demand: Demand) -> int | None:
    """The size of the smallest connected covering set, by trying them all."""
    for size in range(1, demand.stands + 1):
        for chosen in combinations(range(demand.stands), size):
            if demand.covers(chosen) and len(demand.islands(chosen)) == 1:
                return size
    return None


@pytest.mark.parametrize("seed", range(60))
def test_it_equals_brute_force_on_small_sets(seed: int) -> None:
    demand = chance(seed, 6 + seed % 9, 25, 1 + seed % 4, partial=seed % 2 == 1)
    proof = prove(demand)
    assert (len(proof.chosen) if proof.chosen else None) == brute(demand)
    if proof.chosen:
        assert demand.meets(proof.chosen)
        assert proof.lower == len(proof.chosen)
        assert proof.status == "proven"
    else:
        assert proof.status == "impossible"


def second_solver(demand: Demand) -> int | None:
    """The optimum by CP-SAT with a single-commodity flow for connectivity; shares in thousandths."""
    model = cp_model.CpModel()
    n, m = demand.stands, demand.area_m2.size
    x = [model.new_bool_var("") for _ in range(n)]
    root = [model.new_bool_var("") for _ in range(n)]
    model.add_exactly_one(root)
    views = np.round(demand.shares * 1000).astype(int)
    areas = np.round(demand.area_m2 * 1000).astype(int)
    shown = [model.new_int_var(0, 1000, "") for _ in range(m)]
    for c in range(m):
        model.add(shown[c] <= sum(int(views[c, s]) * x[s] for s in range(n)))
    for g in range(demand.rooms):
        cells = np.flatnonzero(demand.room == g)
        target = int(np.ceil(demand.target_m2[g] * 1e6 - 1e-3))
        model.add(sum(int(areas[c]) * shown[c] for c in cells) >= target)
    arcs = {(int(i), int(j)): model.new_int_var(0, n, "") for i, j in np.argwhere(demand.links)}
    for (i, j), flow in arcs.items():
        model.add(flow <= n * x[i])
        model.add(flow <= n * x[j])
    for s in range(n):
        model.add(root[s] <= x[s])
        supply = model.new_int_var(0, n, "")
        model.add(supply <= n * root[s])
        into = sum(flow for (_, j), flow in arcs.items() if j == s)
        out = sum(flow for (i, _), flow in arcs.items() if i == s)
        model.add(into + supply - out == x[s])
    model.minimize(sum(x))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 8
    solver.parameters.max_time_in_seconds = 120
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    return round(solver.objective_value)


@pytest.mark.parametrize("seed", range(100, 106))
def test_it_equals_a_second_solver_on_larger_sets(seed: int) -> None:
    demand = chance(seed, 28, 60, 4, partial=True)
    areas = np.round(demand.area_m2, 3)
    demand = Demand(demand.shares, areas, demand.room, demand.target_m2 * 0.999, demand.links)
    proof = prove(demand)
    assert (len(proof.chosen) if proof.chosen else None) == second_solver(demand)
