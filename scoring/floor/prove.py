"""Fewest connected stations for a demand, proven: a relaxation solved again and again until its answer holds.

The relaxation is a 0/1 program over the stands: every room's target on what its cells can show at most, each
station sees another (when there are two or more), and the cuts found so far (``cuts``). Its bound never exceeds
the truth, so the first answer that is connected, covers every room and passes the caller's own check is a fewest
one. Solver: HiGHS, one thread, deterministic.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix, hstack, vstack

from scoring.floor.cuts import Splitter, grow, must_hit, separators
from scoring.floor.demand import Demand, Floats, Ints, dominated

SOLVER = f"HiGHS, SciPy {scipy.__version__}"
ROUNDING = 1e-6
"""A bound of 12.9999999 is 13."""

Check = Callable[[Sequence[int]], "Ints | None"]
"""None when the stations hold on exact area; else the stands of which one must be added (a cut)."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What was found: ``chosen`` (None when no set was found), its size's true lower bound, and how it ended."""

    chosen: tuple[int, ...] | None
    lower: int
    rounds: int
    cuts: int
    status: str
    """"proven", "impossible" (no set of these stands will do), "above" (none of up to ``at_most``) or "limit"."""


@dataclass
class _Program:
    """The relaxation: rows that stay and cuts that come."""

    demand: Demand
    fixed: Ints
    at_most: int | None
    cuts: list[Ints] = field(default_factory=list)
    known: set[bytes] = field(default_factory=set)

    def __post_init__(self) -> None:
        demand = self.demand
        n = demand.stands
        areas, where = _alike(demand)
        cells = areas.size
        views = np.zeros((cells, n))
        np.add.at(views, where, demand.columns.T)
        room = np.zeros(cells, dtype=np.int64)
        room[where] = demand.room
        self.cells = cells
        self.cost = np.concatenate([np.ones(n), np.zeros(cells)])
        self.upper = np.concatenate([np.ones(n), areas])
        self.least = np.zeros(n + cells)
        self.least[self.fixed] = 1.0
        self.integral = np.concatenate([np.ones(n), np.zeros(cells)])
        seen = hstack([csr_matrix(views), csr_matrix((-np.ones(cells), (range(cells), range(cells))))])
        asked = hstack([csr_matrix((demand.rooms, n)), csr_matrix((np.ones(cells), (room, range(cells))),
                                                                  shape=(demand.rooms, cells))])  # fmt: skip
        rows = [seen, asked]
        floor = [np.zeros(cells), demand.target_m2 * (1.0 - 1e-12)]
        degree = demand.links.sum(axis=1)
        if (degree < n - 1).any():
            another = csr_matrix(demand.links.astype(float) - np.eye(n))
            rows.append(hstack([another, csr_matrix((n, cells))]))
            floor.append(np.zeros(n))
        if self.at_most is not None:
            rows.append(csr_matrix(-self.cost))
            floor.append(np.array([-float(self.at_most)]))
        self.rows = vstack(rows).tocsr()
        self.floor = np.concatenate(floor)

    def add(self, cut: Ints) -> bool:
        """Take up a cut; False when it is known already."""
        name = cut.tobytes()
        if name in self.known:
            return False
        self.known.add(name)
        self.cuts.append(cut)
        return True

    def answer(self, limit_s: float, whole: bool) -> Any:
        """Solve with all cuts, as a 0/1 program or (not ``whole``) over fractions."""
        rows, floor = self.rows, self.floor
        if self.cuts:
            lengths = [cut.size for cut in self.cuts]
            inside = csr_matrix(
                (np.ones(sum(lengths)), (np.repeat(np.arange(len(lengths)), lengths), np.concatenate(self.cuts))),
                shape=(len(lengths), rows.shape[1]),
            )
            rows = vstack([rows, inside])
            floor = np.concatenate([floor, np.ones(len(lengths))])
        return milp(
            self.cost,
            integrality=self.integral if whole else None,
            bounds=Bounds(self.least, self.upper),
            constraints=LinearConstraint(rows, lb=floor),
            options={"time_limit": max(limit_s, 0.05)},
        )


def _alike(demand: Demand) -> tuple[Floats, Ints]:
    """Cells of one room with the same views, taken together: their areas [m²] and for each cell its group."""
    key = np.column_stack([demand.room, np.round(demand.shares, 9)])
    _, where = np.unique(key, axis=0, return_inverse=True)
    where = where.reshape(-1)
    return np.bincount(where, weights=demand.area_m2), where


def prove(
    demand: Demand,
    *,
    fixed: Sequence[int] = (),
    at_most: int | None = None,
    check: Check | None = None,
    limit_s: float = 30.0,
    rounds: int = 80,
    clock: Callable[[], float] | None = None,
) -> Proof:
    """The fewest connected stands that cover every room, with a proven lower bound.

    ``fixed`` stands are taken whatever comes. ``at_most`` asks only whether that many do: the proof may end
    "above", with ``lower`` one more. ``check`` judges an answer on exact area and names a cut when it fails; the
    stands it judged then are no answer. ``limit_s`` bounds each solve [s], and with a ``clock`` (seconds that
    only run forward) all of them together; the first solve that runs into it ends the search.
    """
    kept = np.arange(demand.stands)
    if not fixed:
        kept = np.flatnonzero(~dominated(demand))
    part = demand.part(kept)
    if demand.rooms and part.hopeless(np.ones(part.stands, dtype=bool)):
        return Proof(None, 0, 0, 0, "impossible")
    place = {int(s): k for k, s in enumerate(kept)}
    held = np.array([place[s] for s in fixed], dtype=np.int64)
    single = _single(part, held, check, kept)
    if single is not None:
        return Proof((int(kept[single]),), 1, 0, 0, "proven")
    search = _Search(part, held, kept, check, at_most, limit_s, rounds, clock)
    return search.run()


def _single(demand: Demand, fixed: Ints, check: Check | None, names: Ints) -> int | None:
    """One stand that does it alone, the lowest, if there is any."""
    if fixed.size > 1:
        return None
    enough = (demand.alone_m2 >= demand.target_m2 - 1e-9).all(axis=1)
    for s in np.flatnonzero(enough):
        if (fixed.size == 0 or fixed[0] == s) and (check is None or check([int(names[s])]) is None):
            return int(s)
    return None


@dataclass
class _Search:
    """The loop: solve, look what is wrong with the answer, cut it off, solve again."""

    demand: Demand
    fixed: Ints
    names: Ints
    check: Check | None
    at_most: int | None
    limit_s: float
    rounds: int
    clock: Callable[[], float] | None

    def run(self) -> Proof:
        demand = self.demand
        program = _Program(demand, self.fixed, self.at_most)
        splitter = Splitter(demand)
        start = self.clock() if self.clock else 0.0
        lower = 2
        for cut in _first_cuts(demand):
            program.add(cut)
        self._sharpen(program, splitter)
        for turn in range(1, self.rounds + 1):
            left = self.limit_s - ((self.clock() - start) if self.clock else 0.0)
            answer = program.answer(left, whole=True)
            if answer.status == 2:
                if self.at_most is not None:
                    return Proof(None, self.at_most + 1, turn, len(program.cuts), "above")
                return Proof(None, 0, turn, len(program.cuts), "impossible")
            if answer.mip_dual_bound is not None and math.isfinite(answer.mip_dual_bound):
                lower = max(lower, math.ceil(answer.mip_dual_bound - ROUNDING))
            if answer.x is None:
                return Proof(None, lower, turn, len(program.cuts), "limit")
            chosen = np.flatnonzero(answer.x[: demand.stands] > 0.5).tolist()
            fresh = [cut for cut in self._faults(splitter, chosen) if program.add(cut)]
            if not fresh:
                named = tuple(int(self.names[s]) for s in chosen)
                return Proof(named, min(lower, len(named)), turn, len(program.cuts),
                             "proven" if answer.status == 0 else "limit")  # fmt: skip
            if answer.status != 0:
                return Proof(None, lower, turn, len(program.cuts), "limit")
        return Proof(None, lower, self.rounds, len(program.cuts), "limit")

    def _faults(self, splitter: Splitter, chosen: list[int]) -> list[Ints]:
        """Cuts that the answer breaks; none when it holds."""
        demand = self.demand
        islands = demand.islands(chosen)
        if len(islands) > 1:
            return separators(demand, splitter, chosen, islands)
        if self.check is None:
            return []
        missing = self.check([int(self.names[s]) for s in chosen])
        if missing is None:
            return []
        inside = np.isin(self.names, missing)
        return [np.flatnonzero(inside)]

    def _sharpen(self, program: _Program, splitter: Splitter, turns: int = 12) -> None:
        """Cut off fractional answers, before any 0/1 program is solved."""
        demand = self.demand
        everyone = np.zeros(demand.stands, dtype=bool)
        for _ in range(turns):
            answer = program.answer(self.limit_s, whole=False)
            if answer.x is None:
                return
            x = np.clip(answer.x[: demand.stands], 0.0, 1.0)
            order = np.lexsort((np.arange(demand.stands), -x)).tolist()
            hits = [must_hit(demand, room, everyone, order) for room in range(demand.rooms)]
            fresh = [np.flatnonzero(hit) for hit in hits if x[hit].sum() < 1.0 - 1e-3]
            for i, left in enumerate(hits):
                for right in hits[i + 1 :]:
                    if (left & right).any() and x[left & right].sum() > 1.0 - 1e-3:
                        continue
                    cut = splitter.between(left, right, x)
                    if x[cut].sum() < 1.0 - 1e-3:
                        kept = np.ones(demand.stands, dtype=bool)
                        kept[cut] = False
                        fresh.append(np.flatnonzero(~grow(demand, kept, [s for s in order if not kept[s]])))
            if not any([program.add(cut) for cut in fresh]):
                return


def _first_cuts(demand: Demand) -> list[Ints]:
    """For each room, the stands of which one is needed, grown from the poorest views and from the richest."""
    none = np.zeros(demand.stands, dtype=bool)
    found = []
    for room in range(demand.rooms):
        views = demand.alone_m2[:, room]
        for order in (np.argsort(views, kind="stable"), np.argsort(-views, kind="stable")):
            found.append(np.flatnonzero(must_hit(demand, room, none, order.tolist())))
    return found


__all__ = ["ROUNDING", "SOLVER", "Check", "Proof", "prove"]
