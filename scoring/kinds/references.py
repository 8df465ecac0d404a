"""A proven reference as it is stored in a key: its stations, its links, and what each of them shows."""

from __future__ import annotations

from scoring.drill import Json
from scoring.floor.cover import floor_m2, floor_seen
from scoring.floor.findings import Reference
from scoring.floor.links import link
from scoring.floor.place import Place
from scoring.floor.plan import Station


def reference_json(place: Place, reference: Reference) -> dict[str, Json]:
    """The reference with everything that a grade draws or says of it."""
    spots = stations_of(reference)
    return {
        "stations": [[one.level, one.x, one.y] for one in spots],
        "links": links_between(place, spots),
        "shows": [shares_shown(place, one) for one in spots],
        "upper": reference.upper,
        "lower": reference.lower,
        "anywhere": reference.anywhere,
        "best_share": dict(reference.best_share),
        "gap_note": reference.gap_note,
    }


def stations_of(reference: Reference) -> list[Station]:
    """The stations of a reference."""
    return [Station(level=level, x=x, y=y) for level, x, y in reference.stations]


def links_between(place: Place, spots: list[Station]) -> list[Json]:
    """Pairs of indices that are linked without any benefit."""
    return [[i, j] for j, b in enumerate(spots) for i, a in enumerate(spots[:j]) if link(place, a, b).fault is None]


def shares_shown(place: Place, station: Station) -> dict[str, float]:
    """Share of each room's floor that one station shows, by "level/space"."""
    shares = {}
    for (level, space), seen in floor_seen(place, station).items():
        floor = floor_m2(place, level, space)
        if floor > 0.0:
            shares[f"{level}/{space}"] = round(float(seen.area) / floor, 6)
    return shares


__all__ = ["links_between", "reference_json", "shares_shown", "stations_of"]
