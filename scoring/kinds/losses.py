"""What a set of stations loses when some of them go: floor, targets, links. For *thin*."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from scoring.floor.cover import SpaceKey, floor_seen
from scoring.floor.findings import Cover, Survey
from scoring.floor.graph import island_count, islands
from scoring.floor.overlay import join
from scoring.floor.place import Place
from scoring.floor.plan import Station

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Loss:
    """What is lost without some stations: the floor that suffers most, and the islands that are left."""

    cover: Cover | None
    """The room that loses too much, as the whole set shows it."""
    lost_share: float
    """Share of its floor that is lost there, 0..1."""
    islands: tuple[tuple[int, ...], ...]
    """More than one where the rest falls apart; indices of the whole set."""

    @property
    def none(self) -> bool:
        """Whether the stations can go."""
        return self.cover is None and len(self.islands) < 2


class Losses:
    """The losses of one set, worked out once for every choice of stations that might go."""

    def __init__(self, place: Place, stations: Sequence[Station], found: Survey) -> None:
        self.count = len(stations)
        self.found = found
        self._most = place.standard.spare_loss_share
        self._seen: list[dict[SpaceKey, Any]] = [floor_seen(place, station) for station in stations]
        self._links = [(link.a, link.b) for link in found.links if link.holds]
        self._known: dict[frozenset[int], Loss] = {}

    def without(self, gone: Collection[int]) -> Loss:
        """What is lost without these stations (indices)."""
        key = frozenset(gone)
        if key not in self._known:
            self._known[key] = self._measured(key)
        return self._known[key]

    def _measured(self, gone: frozenset[int]) -> Loss:
        rest = [index for index in range(self.count) if index not in gone]
        parted: tuple[tuple[int, ...], ...] = ()
        if island_count(rest, self._links) > len(self.found.islands) or not rest:
            place = {station: i for i, station in enumerate(rest)}
            kept = [(place[a], place[b]) for a, b in self._links if a in place and b in place]
            parted = tuple(tuple(rest[i] for i in island) for island in islands(len(rest), kept))
        worst, lost_most = None, 0.0
        for cover in self.found.covers:
            lost = self._lost(cover, gone, rest)
            misses = cover.holds and cover.share + cover.slack - lost < cover.target_share - ROUNDING
            if lost > lost_most and (lost > self._most + ROUNDING or misses):
                worst, lost_most = cover, lost
        return Loss(worst, lost_most, parted)

    def _lost(self, cover: Cover, gone: frozenset[int], rest: Sequence[int]) -> float:
        key = (cover.level, cover.space)
        if not cover.asked or cover.floor_m2 <= 0.0 or not any(key in self._seen[index] for index in gone):
            return 0.0
        parts = [self._seen[index][key] for index in rest if key in self._seen[index]]
        left = float(join(parts).area) if parts else 0.0
        return max(0.0, cover.seen_m2 - left) / cover.floor_m2

    def most_lost(self, index: int) -> float:
        """The largest share of any room's floor that is lost without one station, 0..1."""
        rest = [one for one in range(self.count) if one != index]
        return max((self._lost(cover, frozenset({index}), rest) for cover in self.found.covers), default=0.0)

    def together(self, wanted: Sequence[int], gone: Sequence[int] = ()) -> list[int]:
        """Of the wanted stations those that can go on top of others gone: all, or one after another from the least
        gain on until no more can."""
        if self.without([*gone, *wanted]).none:
            return sorted(wanted)
        chosen: list[int] = []
        order = sorted(wanted, key=lambda index: (self.found.gain_m2[index], index))
        while True:
            more = next(
                (i for i in order if i not in chosen and self.without([*gone, *chosen, i]).none),
                None,
            )
            if more is None:
                return sorted(chosen)
            chosen.append(more)


__all__ = ["Loss", "Losses"]
