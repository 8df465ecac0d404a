from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
import shapely

from scoring.floor.demand import Bools, Demand
from scoring.floor.fewest import best_shares, fewest
from scoring.floor.findings import Reference
from scoring.floor.graph import islands
from scoring.floor.listing import list_hash, listed_stands
from scoring.floor.offer import Offer, Views, best_of, offer, views_of
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan, Station
from scoring.floor.prove import prove
from scoring.floor.sightings import sightings
from scoring.floor.survey import survey
from tests.scoring.floor.small_plans import (
    box,
    door,
    kit,
    level,
    plan,
    room,
    standard,
    straight_flight,
    thing,
    two_rooms,
)

STANDS = 110


def place(drawn: Plan) -> Place:
    return prepare(drawn, kit(), standard())


def corner_flat() -> Plan:
    """An L-shaped hall with three rooms, one of them cut up by a tall shelf."""
    spaces = [
        room("Hall", ((0, 0), (6, 0), (6, 1.5), (1.5, 1.5), (1.5, 6), (0, 6)), "hall"),
        room("Living", box(1.62, 1.62, 6, 6)),
        room("Bedroom", box(6.12, 0, 9.5, 3.5), "bedroom"),
        room("Study", box(0, 6.12, 3, 9), "study"),
    ]
    openings = [
        door("hall", "living", ((3.0, 1.56), (3.95, 1.56)), "passage", head_m=2.1),
        door("hall", "bedroom", ((6.06, 0.25), (6.06, 1.15))),
        door("hall", "study", ((0.3, 6.06), (1.2, 6.06))),
    ]
    things = [
        thing("Shelf", "living", box(3.2, 3.8, 6.0, 4.1), 2.1, kind="shelf"),
        thing("Wardrobe", "bedroom", box(8.9, 1.0, 9.5, 3.5), 2.2, kind="wardrobe"),
    ]
    return plan([level(spaces, openings, things)])


PLANS = {"two rooms": two_rooms, "corner flat": corner_flat, "two storeys": straight_flight}


@lru_cache(maxsize=8)
def referred(name: str) -> tuple[Place, Reference]:
    here = place(PLANS[name]())
    return here, fewest(here, limit_s=60.0, target_stands=STANDS)


def stations(found: Reference) -> tuple[Station, ...]:
    return tuple(Station(level=level, x=x, y=y) for level, x, y in found.stations)


@pytest.mark.parametrize("name", PLANS)
def test_the_reference_passes_the_grade_with_the_error_to_spare_on_its_links(name: str) -> None:
    here, found = referred(name)
    seen = survey(here, stations(found), found.best_share)
    limits = here.standard
    assert found.upper == len(found.stations) > 0
    assert all(stand.allowed for stand in seen.stands)
    assert all(cover.share >= cover.target_share - 1e-9 for cover in seen.covers if cover.asked)
    firm = [(link.a, link.b) for link in seen.links if link.fault is None and link.firm]
    assert len(islands(found.upper, firm)) == 1
    for link in seen.links:
        if (link.a, link.b) in firm:
            assert link.clear_m >= limits.link_strip_m + 2 * limits.placement_error_m - 1e-9
            assert link.length_m <= limits.link_max_m - 2 * limits.placement_error_m + 1e-9


@pytest.mark.parametrize("name", PLANS)
def test_its_bounds_are_in_order_and_a_gap_is_told(name: str) -> None:
    _, found = referred(name)
    assert 1 <= found.anywhere <= found.lower <= found.upper
    assert found.proven == (found.gap_note == "")
    assert found.listed >= STANDS
    assert found.rounds >= 0


@pytest.mark.parametrize("name", PLANS)
def test_it_can_be_proven_on_these_plans(name: str) -> None:
    assert referred(name)[1].proven


def test_it_names_the_list_it_speaks_of() -> None:
    here, found = referred("corner flat")
    assert found.list_hash == list_hash(listed_stands(here, target_stands=STANDS))


def test_it_says_the_same_twice() -> None:
    again = fewest(place(corner_flat()), limit_s=60.0, target_stands=STANDS)
    assert again == referred("corner flat")[1]


def shelved() -> Plan:
    """A long living room with two tall shelves across part of it, and a hall behind."""
    spaces = [room("Living", box(0, 0, 9, 4.5)), room("Hall", box(0, 4.62, 9, 6.2), "hall")]
    things = [thing(f"Shelf {x}", "living", box(x, 0, x + 0.3, 1.6), 2.1, kind="shelf") for x in (3, 6)]
    return plan([level(spaces, [door("living", "hall", ((4.0, 4.56), (5.0, 4.56)), "passage", head_m=2.1)], things)])


def test_a_coarse_floor_sample_gives_one_station_too_few_and_is_refused() -> None:
    """Points 2 m apart instead of area: one station sees enough of the points, and misses floor that is asked for."""
    here = place(shelved())
    found = fewest(here, limit_s=60.0, target_stands=STANDS)
    stands = listed_stands(here, target_stands=STANDS)
    views = views_of(here, stands)
    offered = offer(here, views, best_of(here, views))
    guess = prove(coarse(offered, views, sightings(here, stands).firm, step=2.0))
    assert guess.status == "proven"
    assert guess.chosen is not None
    assert len(guess.chosen) == found.upper - 1
    assert offered.missed(guess.chosen)
    covers = survey(here, [stands[s] for s in guess.chosen], found.best_share).covers
    assert not all(cover.share >= cover.target_share for cover in covers if cover.asked)
    assert found.lower == found.upper


def coarse(offered: Offer, views: Views, links: Bools, *, step: float) -> Demand:
    """The demand on sample points: share of points of each floor, not of its area."""
    rows, rooms, targets = [], [], []
    for g, key in enumerate(offered.keys):
        whole = shapely.union_all([view[key] for view in views if key in view])
        x0, y0, x1, y1 = whole.bounds
        at = [(x, y) for x in np.arange(x0 + step / 2, x1, step) for y in np.arange(y0 + step / 2, y1, step)]
        at = [p for p in at if whole.contains(shapely.Point(p))]
        for x, y in at:
            rows.append([float(key in view and shapely.contains_xy(view[key], x, y)) for view in views])
            rooms.append(g)
        targets.append(0.9 * len(at))
    return Demand(np.array(rows), np.ones(len(rows)), np.array(rooms), np.array(targets), links)


def test_best_shares_are_what_the_listed_stands_see_together() -> None:
    here = place(corner_flat())
    listed = listed_stands(here, target_stands=STANDS)
    best = best_shares(here, listed)
    assert set(best) == {"0/hall", "0/living", "0/bedroom", "0/study"}
    assert all(0.9 < share <= 1.0 for share in best.values())
    assert best_shares(here, listed[:1])["0/bedroom"] < best["0/bedroom"]


def test_a_room_nobody_can_reach_leaves_no_reference() -> None:
    spaces = [room("Hall", box(0, 0, 4, 3), "hall"), room("Vault", box(0, 3.12, 4, 6), "store")]
    found = fewest(place(plan([level(spaces)])), target_stands=40)
    assert found.stations == ()
    assert found.gap_note
