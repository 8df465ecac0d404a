"""The abstract problem behind the fewest stations: cells to show, stands that show them, links that join stands.

Alphabet of this module and of ``cuts`` and ``prove``::

    s  stand, 0..n-1            the places where a tripod may stand
    c  cell, 0..m-1             a piece of a room's floor, of area_c [m²]
    f  share f[c, s], 0..1      how much of cell c stand s sees
    g  room, 0..r-1             every cell belongs to one room; room g asks for target_g [m²]
    G  links, (n, n) bool       symmetric, no loops

A set K of stands shows of room g at most  sum over its cells of  area_c * min(1, sum over s in K of f[c, s]):
exact where every share is 0 or 1, and never less than the truth where a cell is seen in part, since two parts
seen overlap or do not. So a set that fails here fails on exact area too, which makes bounds of it true.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TOLERANCE_M2 = 1e-9
"""Rounding of summed areas [m²]."""


@dataclass(frozen=True)
class Demand:
    """What has to be shown, and what each stand shows and links to.

    ``shares`` (m, n) 0..1, ``area_m2`` (m,), ``room`` (m,) of 0..r-1, ``target_m2`` (r,), ``links`` (n, n).
    Raises ValueError when the shapes do not agree.
    """

    shares: Floats
    area_m2: Floats
    room: Ints
    target_m2: Floats
    links: Bools

    def __post_init__(self) -> None:
        cells, stands = self.shares.shape
        if self.area_m2.shape != (cells,) or self.room.shape != (cells,) or self.links.shape != (stands, stands):
            raise ValueError(f"{cells} cells and {stands} stands, but areas {self.area_m2.shape}, "
                             f"rooms {self.room.shape}, links {self.links.shape}")  # fmt: skip
        if not np.array_equal(self.links, self.links.T):
            raise ValueError("a link joins both ways")

    @property
    def stands(self) -> int:
        """How many stands there are."""
        return int(self.shares.shape[1])

    @property
    def rooms(self) -> int:
        """How many rooms ask for something."""
        return int(self.target_m2.shape[0])

    @cached_property
    def columns(self) -> Floats:
        """Area of each cell that each stand sees, (n, m) [m²], a row per stand."""
        return np.ascontiguousarray(self.shares.T * self.area_m2)

    @cached_property
    def of_room(self) -> tuple[Ints, ...]:
        """The cells of each room."""
        return tuple(np.flatnonzero(self.room == g) for g in range(self.rooms))

    @cached_property
    def alone_m2(self) -> Floats:
        """What each stand alone shows of each room, (n, r) [m²]."""
        alone = [self.columns[:, cells].sum(axis=1) for cells in self.of_room]
        return np.stack(alone, axis=1) if alone else np.zeros((self.stands, 0))

    @cached_property
    def linked(self) -> tuple[int, ...]:
        """The stands that each links to, as the bits of a whole number: of a few hundred stands the fastest set."""
        return tuple(sum(1 << t for t in np.flatnonzero(row).tolist()) for row in self.links)

    def shown_m2(self, chosen: Iterable[int]) -> Floats:
        """The most that these stands can show of each room [m²], (r,)."""
        summed = self.columns[list(chosen)].sum(axis=0)
        return self.of_rooms(summed)

    def of_rooms(self, summed: Floats) -> Floats:
        """Area shown per room [m²] when every cell's views add up to ``summed`` [m²]."""
        capped = np.minimum(summed, self.area_m2)
        shown: Floats = np.bincount(self.room, weights=capped, minlength=self.rooms).astype(np.float64)
        return shown

    def short(self, shown_m2: Floats) -> Ints:
        """The rooms that are shown less than they ask for."""
        return np.flatnonzero(shown_m2 < self.target_m2 - TOLERANCE_M2)

    def covers(self, chosen: Sequence[int]) -> bool:
        """Whether every room's target can be met by these stands."""
        return self.short(self.shown_m2(chosen)).size == 0

    def islands(self, chosen: Sequence[int]) -> list[list[int]]:
        """The connected parts of the chosen stands, largest first, then by lowest number."""
        left = sum(1 << int(s) for s in set(chosen))
        parts = []
        while left:
            part = newest = left & -left
            while newest:
                near = 0
                for s in _members(newest):
                    near |= self.linked[s]
                newest = near & left & ~part
                part |= newest
            left &= ~part
            parts.append(list(_members(part)))
        return sorted(parts, key=lambda part: (-len(part), part))

    def unlink(self, pairs: Iterable[tuple[int, int]]) -> None:
        """Take back links that turned out not to hold."""
        for a, b in pairs:
            self.links[a, b] = self.links[b, a] = False
        self.__dict__.pop("linked", None)

    def meets(self, chosen: Sequence[int]) -> bool:
        """Whether these stands are connected and cover every room."""
        return self.covers(chosen) and len(self.islands(chosen)) <= 1

    def hopeless(self, kept: Bools) -> bool:
        """Whether no connected set within the kept stands can cover every room.

        Such a set makes a cut: every solution has a station outside it.
        """
        return not any(self.covers(part) for part in self.islands(np.flatnonzero(kept).tolist()))

    def part(self, kept: Sequence[int]) -> Demand:
        """The same demand with only these stands, in this order."""
        index = np.asarray(kept, dtype=np.int64)
        return Demand(self.shares[:, index], self.area_m2, self.room, self.target_m2, self.links[np.ix_(index, index)])


def _members(bits: int) -> Iterator[int]:
    """The stands in a set that is held as bits, in order."""
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


def dominated(demand: Demand) -> Bools:
    """Stands that another can always stand in for, (n,): it sees at least as much of every cell and links to
    at least the same stands. Of equals the first stays. Dropping them changes no optimum [D]."""
    n = demand.stands
    links = demand.links.astype(np.float32)
    missing = links @ (1.0 - links)
    # j's links that i lacks; i itself is a link that i never needs.
    lacks = missing - links * 1.0
    link_ok = lacks <= 0.5
    out = np.zeros(n, dtype=bool)
    columns = demand.columns
    order = np.argsort(columns.sum(axis=1), kind="stable")
    for j in order:
        rivals = np.flatnonzero(link_ok[j] & ~out)
        rivals = rivals[rivals != j]
        if rivals.size == 0:
            continue
        better = (columns[rivals] >= columns[j] - TOLERANCE_M2 * 1e-3).all(axis=1)
        out[j] = bool(better.any())
    return out


__all__ = ["Bools", "Demand", "Floats", "Ints", "dominated"]
