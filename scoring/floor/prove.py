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
from scoring.floor.demand import TOLERANCE_M2, Demand, Floats, Ints, dominated

SOLVER = f"HiGHS, SciPy {scipy.__version__}"
ROUNDING = 1e-6
"""A bound of 12.9999999 is 13."""


@dataclass(frozen=True, slots=True)
class Lack:
    """What exact area has against an answer: the stands of which one must be added (a cut), and by how much which
    room is shown too little [m²]."""

    cut: Ints
    room: int
    missing_m2: float


Check = Callable[[Sequence[int]], "Lack | None"]
"""None when the stations hold on exact area."""

Untrue = Callable[[Sequence[int]], "list[tuple[int, int]]"]
"""The links between these stands that were estimated and do not hold."""

RAISE, RAISE_LEAST = 0.5, 0.0005
"""A room found short is asked for this share of what it lacks, and of its floor, in addition."""

STALE_TURNS, STALE_GAIN = 2, 0.02
"""Sharpening ends after so many turns that raise the bound by no more than this."""

PAIRS_EACH = 2
"""Each turn every room is parted from so many others."""

PARTED_MOST = 24
"""New separators a turn."""

SLIGHT = 1e-3
"""A cut broken by less than this is not worth a row."""

LEAN_SHARE = 0.3
"""Share of the time for the first, lean bound."""


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
        self.rows = vstack(rows).tocsr()
        self.floor = np.concatenate(floor)
        self.lean_from = cells + demand.rooms
        self.floor_m2 = np.bincount(demand.room, weights=demand.area_m2, minlength=demand.rooms)
        self.most_m2 = demand.shown_m2(range(n))

    def add(self, cut: Ints) -> bool:
        """Take up a cut; False when it is known already."""
        name = cut.tobytes()
        if name in self.known:
            return False
        self.known.add(name)
        self.cuts.append(cut)
        return True

    def ask_more(self, room: int, more_m2: float) -> None:
        """Raise the target of a room, as far as its stands can go."""
        row = self.cells + room
        self.floor[row] = min(self.floor[row] + more_m2, self.most_m2[room] * (1.0 - 1e-9))

    def answer(self, limit_s: float, *, whole: bool, lean: bool = False) -> Any:
        """Solve with all cuts, as a 0/1 program or (not ``whole``) over fractions.

        ``lean`` leaves the cells out: cover is then asked for by the cuts alone, which is quicker and still a
        relaxation.
        """
        rows, floor = self.rows, self.floor
        if lean:
            rows, floor = rows[self.lean_from :, : self.demand.stands], floor[self.lean_from :]
        width = rows.shape[1]
        if self.cuts:
            lengths = [cut.size for cut in self.cuts]
            inside = csr_matrix(
                (np.ones(sum(lengths)), (np.repeat(np.arange(len(lengths)), lengths), np.concatenate(self.cuts))),
                shape=(len(lengths), width),
            )
            rows = vstack([rows, inside])
            floor = np.concatenate([floor, np.ones(len(lengths))])
        return milp(
            self.cost[:width],
            integrality=self.integral[:width] if whole else None,
            bounds=Bounds(self.least[:width], self.upper[:width]),
            constraints=LinearConstraint(rows, lb=floor),
            options={"time_limit": max(limit_s, 0.05)},
        )


def _alike(demand: Demand) -> tuple[Floats, Ints]:
    """Cells of one room with the same views, taken together: their areas [m²] and for each cell its group."""
    key = np.column_stack([demand.room, np.round(demand.shares, 9)])
    _, where = np.unique(key, axis=0, return_inverse=True)
    where = where.reshape(-1)
    areas: Floats = np.bincount(where, weights=demand.area_m2).astype(np.float64)
    return areas, where.astype(np.int64)


def prove(
    demand: Demand,
    *,
    fixed: Sequence[int] = (),
    at_most: int | None = None,
    check: Check | None = None,
    limit_s: float = 30.0,
    rounds: int = 80,
    clock: Callable[[], float] | None = None,
    untrue: Untrue | None = None,
    raising: bool = False,
    sharp: int = 12,
) -> Proof:
    """The fewest connected stands that cover every room, with a proven lower bound.

    ``fixed`` stands are taken whatever comes. ``at_most`` asks only whether that many do: the proof may end
    "above", with ``lower`` one more. ``check`` judges an answer on exact area and names a cut when it fails; the
    stands it judged then are no answer. ``limit_s`` bounds each solve [s], and with a ``clock`` (seconds that
    only run forward) all of them together; the first solve that runs into it ends the search. Where the links are
    an upper estimate, ``untrue`` names those among the stands of an answer that do not hold: they are taken back.
    With ``raising`` a room that the check finds short is asked for a little more from then on: good answers come
    sooner, but ``lower`` is no bound. ``sharp`` is how often fractional answers are cut off first.
    """
    demand = _asked(demand, fixed)
    kept = np.arange(demand.stands)
    if not len(fixed) and untrue is None:
        kept = np.flatnonzero(~dominated(demand))
    part = demand.part(kept.tolist())
    if demand.rooms and part.hopeless(np.ones(part.stands, dtype=bool)):
        return Proof(None, 0, 0, 0, "impossible")
    place = {int(s): k for k, s in enumerate(kept)}
    held = np.array([place[s] for s in fixed], dtype=np.int64)
    single = _single(part, held, check, kept)
    if single is not None:
        return Proof((int(kept[single]),), 1, 0, 0, "proven")
    return _Search(part, held, kept, check, at_most, limit_s, rounds, clock, untrue, raising, sharp).run()


def _asked(demand: Demand, fixed: Sequence[int]) -> Demand:
    """The demand without rooms that ask for nothing, and with a room for each fixed stand that it alone shows."""
    live = np.flatnonzero(demand.target_m2 > TOLERANCE_M2)
    cells = np.isin(demand.room, live)
    own = np.zeros((len(fixed), demand.stands))
    own[np.arange(len(fixed)), list(fixed)] = 1.0
    return Demand(
        np.vstack([demand.shares[cells], own]),
        np.concatenate([demand.area_m2[cells], np.ones(len(fixed))]),
        np.concatenate([np.searchsorted(live, demand.room[cells]), live.size + np.arange(len(fixed))]),
        np.concatenate([demand.target_m2[live], np.ones(len(fixed))]),
        demand.links,
    )


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
    untrue: Untrue | None
    raising: bool
    sharp: int
    splitter: Splitter = field(init=False)

    def run(self) -> Proof:
        demand = self.demand
        program = _Program(demand, self.fixed)
        self.splitter = Splitter(demand)
        start = self.clock() if self.clock else 0.0

        def left() -> float:
            return self.limit_s - ((self.clock() - start) if self.clock else 0.0)

        for cut in _first_cuts(demand):
            program.add(cut)
        lower = max(2, len(self.fixed))
        sharp = self._sharpen(program, left)
        if sharp < 0:
            return self._nothing(0, program)
        lower = max(lower, sharp)
        if self.at_most is not None and lower > self.at_most:
            return self._nothing(0, program)
        lean = program.answer(LEAN_SHARE * left(), whole=True, lean=True)
        if lean.status == 2:
            return self._nothing(0, program)
        lower = max(lower, _bound(lean))
        for turn in range(1, self.rounds + 1):
            if self.at_most is not None and lower > self.at_most:
                return self._nothing(turn, program)
            answer = program.answer(left(), whole=True)
            if answer.status == 2:
                return self._nothing(turn, program)
            lower = max(lower, _bound(answer))
            if self.at_most is not None and lower > self.at_most:
                return self._nothing(turn, program)
            if answer.x is None:
                return Proof(None, lower, turn, len(program.cuts), "limit")
            chosen = np.flatnonzero(answer.x[: demand.stands] > 0.5).tolist()
            fresh = [cut for cut in self._faults(program, chosen) if program.add(cut)]
            if not fresh:
                named = tuple(int(self.names[s]) for s in chosen)
                status = "proven" if len(named) <= lower else "limit"
                return Proof(named, min(lower, len(named)), turn, len(program.cuts), status)
            if answer.status != 0 or left() <= 0.0:
                return Proof(None, lower, turn, len(program.cuts), "limit")
        return Proof(None, lower, self.rounds, len(program.cuts), "limit")

    def _nothing(self, turn: int, program: _Program) -> Proof:
        """No set is left: of any size, or of those asked about."""
        if self.at_most is not None:
            return Proof(None, self.at_most + 1, turn, len(program.cuts), "above")
        return Proof(None, 0, turn, len(program.cuts), "impossible")

    def _faults(self, program: _Program, chosen: list[int]) -> list[Ints]:
        """Cuts that the answer breaks; none when it holds."""
        demand = self.demand
        if self.untrue is not None:
            pairs = self.untrue([int(self.names[s]) for s in chosen])
            place = {int(name): k for k, name in enumerate(self.names)}
            if pairs:
                demand.unlink((place[a], place[b]) for a, b in pairs)
                self.splitter = Splitter(demand)
        islands = demand.islands(chosen)
        if len(islands) > 1:
            return separators(demand, self.splitter, chosen, islands)
        if self.check is None:
            return []
        lack = self.check([int(self.names[s]) for s in chosen])
        if lack is None:
            return []
        if self.raising:
            program.ask_more(lack.room, RAISE * lack.missing_m2 + RAISE_LEAST * program.floor_m2[lack.room])
        return [np.flatnonzero(np.isin(self.names, lack.cut))]

    def _sharpen(self, program: _Program, left: Callable[[], float]) -> int:
        """Cut off fractional answers before any 0/1 program is solved; the bound reached, -1 when nothing is left."""
        demand = self.demand
        everyone = np.zeros(demand.stands, dtype=bool)
        best, stale, turn = -math.inf, 0, 0
        while stale < STALE_TURNS and turn < self.sharp and left() > 0.0:
            answer = program.answer(left(), whole=False, lean=True)
            if answer.status == 2:
                return -1
            if answer.x is None:
                break
            stale = 0 if answer.fun > best + STALE_GAIN else stale + 1
            best = max(best, answer.fun)
            if self.at_most is not None and best > self.at_most + ROUNDING:
                break
            x = np.clip(answer.x[: demand.stands], 0.0, 1.0)
            order = np.lexsort((np.arange(demand.stands), -x)).tolist()
            hits = [must_hit(demand, room, everyone, order) for room in range(demand.rooms)]
            fresh = [np.flatnonzero(hit) for hit in hits if x[hit].sum() < 1.0 - SLIGHT]
            parted = 0
            for i, j in _pairs(demand.rooms, turn):
                if parted >= PARTED_MOST:
                    break
                if x[hits[i] & hits[j]].sum() > 1.0 - SLIGHT:
                    continue
                cut = self.splitter.between(hits[i], hits[j], x)
                if x[cut].sum() < 1.0 - SLIGHT:
                    kept = np.ones(demand.stands, dtype=bool)
                    kept[cut] = False
                    fresh.append(np.flatnonzero(~grow(demand, kept, [s for s in order if not kept[s]])))
                    parted += 1
            if sum(program.add(cut) for cut in fresh) == 0:
                break
            turn += 1
        return math.ceil(best - ROUNDING) if math.isfinite(best) else 0


def _pairs(rooms: int, turn: int) -> list[tuple[int, int]]:
    """Some pairs of rooms to be parted, other ones each turn: each room with a few others."""
    steps = [1 + (turn * PAIRS_EACH + k) % max(rooms // 2, 1) for k in range(min(PAIRS_EACH, rooms // 2))]
    return sorted({(min(g, h), max(g, h)) for step in steps for g in range(rooms) for h in [(g + step) % rooms]})


def _bound(answer: Any) -> int:
    """The whole number of stations that a solve proves to be needed."""
    found = answer.mip_dual_bound
    return math.ceil(found - ROUNDING) if found is not None and math.isfinite(found) else 0


def _first_cuts(demand: Demand) -> list[Ints]:
    """For each room, the stands of which one is needed, grown from the poorest views and from the richest."""
    none = np.zeros(demand.stands, dtype=bool)
    found = []
    for room in range(demand.rooms):
        views = demand.alone_m2[:, room]
        for order in (np.argsort(views, kind="stable"), np.argsort(-views, kind="stable")):
            found.append(np.flatnonzero(must_hit(demand, room, none, order.tolist())))
    return found


__all__ = ["ROUNDING", "SOLVER", "Check", "Lack", "Proof", "Untrue", "prove"]
