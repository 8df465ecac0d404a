"""Survey: everything there is to know about a set of stations on a place, in one value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from scoring.floor.corners import corners_seen, openings_seen
from scoring.floor.cover import Depth, SpaceKey, cover, depth, floor_seen, floors
from scoring.floor.findings import Cover, Survey
from scoring.floor.graph import cut_stations, island_count, islands
from scoring.floor.incidence import walls_seen
from scoring.floor.links import links
from scoring.floor.overlay import join, quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.slack import slacks
from scoring.floor.stands import stand

Seen = list[dict[SpaceKey, Any]]
"""Per station: the floor it shows, by space."""


@quiet
def survey(place: Place, stations: Sequence[Station], best_share: Mapping[str, float]) -> Survey:
    """Measure a set of stations: stands, links, islands, floor, corners, walls, spare stations.

    ``best_share`` gives, per "level/space", the most of its floor that the allowed stands of this plan can show
    together (1 where it says nothing); targets follow from it. A station that stands in a wall or off the plan
    shows nothing and links to nothing, and its stand says why.
    """
    seen: Seen = [floor_seen(place, station) for station in stations]
    pairs = links(place, stations)
    held = [(link.a, link.b) for link in pairs if link.holds]
    depths, covers = _covers(place, stations, seen, best_share)
    gains = [0.0] * len(stations)
    for found in depths.values():
        for i, area in found.only_m2.items():
            gains[i] += area
    spare, together = _spare(place, len(stations), seen, depths, covers, held, gains)
    return Survey(
        stands=tuple(stand(place, station) for station in stations),
        links=pairs,
        islands=islands(len(stations), held),
        cut_stations=cut_stations(len(stations), held),
        spare=spare,
        spare_together=together,
        gain_m2=tuple(gains),
        covers=tuple(covers),
        openings=openings_seen(place, stations),
        walls=walls_seen(place, stations),
    )


def _covers(
    place: Place, stations: Sequence[Station], seen: Seen, best_share: Mapping[str, float]
) -> tuple[dict[SpaceKey, Depth], list[Cover]]:
    depths: dict[SpaceKey, Depth] = {}
    rows: list[tuple[Cover, Any]] = []
    corners = corners_seen(place, stations)
    for level in range(len(place.storeys)):
        every = floors(place, level)
        for room, area in zip(every.rooms, every.areas, strict=True):
            key = (level, room.space.id)
            parts = {i: found[key] for i, found in enumerate(seen) if key in found}
            depths[key] = depth(parts)
            best = best_share.get(f"{level}/{room.space.id}", 1.0)
            found = cover(place, level, room, area, depths[key], best)
            rows.append((replace(found, corners=corners.get(key, ())), area))
    worth = slacks(place, stations, seen, rows)
    return depths, [replace(found, slack=more) for (found, _), more in zip(rows, worth, strict=True)]


def _spare(
    place: Place,
    count: int,
    seen: Seen,
    depths: Mapping[SpaceKey, Depth],
    covers: Sequence[Cover],
    held: Sequence[tuple[int, int]],
    gains: Sequence[float],
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Stations that could each go, and those that could all go at once.

    One can go when the rest falls into no more islands, no floor loses more than the standard's share, and no
    floor that met its target misses it then.
    """
    whole = list(range(count))
    most = island_count(whole, held)
    by_key = {(c.level, c.space): c for c in covers}

    asked = [[key for key in found if by_key[key].asked and by_key[key].floor_m2 > 0.0] for found in seen]

    def loss_ok(key: SpaceKey, lost_m2: float) -> bool:
        found = by_key[key]
        lost = lost_m2 / found.floor_m2
        still = not found.holds or found.share + found.slack - lost >= found.target_share - 1e-9
        return lost <= place.standard.spare_loss_share + 1e-9 and still

    def joined_without(gone: Sequence[int]) -> bool:
        rest = [i for i in whole if i not in gone]
        return bool(rest) and island_count(rest, held) <= most

    spare = tuple(
        i for i in whole if joined_without([i]) and all(loss_ok(key, depths[key].only_m2[i]) for key in asked[i])
    )
    order = sorted(spare, key=lambda i: (gains[i], i))
    left = _Left(seen, order)
    gone: list[int] = []
    for i in order:
        # Floors that this station does not show lose no more than they did before.
        if joined_without([*gone, i]) and all(
            loss_ok(key, float(depths[key].any.area - left.without(i, key).area)) for key in asked[i]
        ):
            gone.append(i)
        else:
            left.keep(i)
    return spare, tuple(sorted(gone))


class _Left:
    """What is left of each floor when stations go one after another: those that stay and those not yet tried.

    What the later ones show is joined once, from the last to the first, so that each trial joins two regions.
    """

    def __init__(self, seen: Seen, order: Sequence[int]) -> None:
        self.seen = seen
        self.staying: dict[SpaceKey, Any] = {}
        self.later: dict[int, dict[SpaceKey, Any]] = {}
        for i in set(range(len(seen))) - set(order):
            self.keep(i)
        regions: dict[SpaceKey, Any] = {}
        for i in reversed(order):
            self.later[i] = regions
            regions = {**regions, **{key: _both(regions.get(key), part) for key, part in seen[i].items()}}

    def without(self, i: int, key: SpaceKey) -> Any:
        """The floor that is seen without this station, which is tried next, and without those that went before."""
        return _both(self.staying.get(key), self.later[i].get(key))

    def keep(self, i: int) -> None:
        """This station stays."""
        for key, part in self.seen[i].items():
            self.staying[key] = _both(self.staying.get(key), part)


def _both(a: Any, b: Any) -> Any:
    """The union of two regions, either of which may be none."""
    return join([region for region in (a, b) if region is not None])


__all__ = ["survey"]
