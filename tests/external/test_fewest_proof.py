"""The long proof: every shipped floor's reference, at 400 listed stands and more. Run by `make proof`."""

from __future__ import annotations

import time

import networkx as nx
import numpy as np
import pytest

from bench.fewest import LIMIT_S, places
from scoring.floor.fewest import fewest
from scoring.floor.listing import listed_stands
from scoring.floor.offer import best_of, offer, views_of
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sightings import sightings
from scoring.floor.survey import survey

FLOORS = dict(places())


@pytest.mark.proof
@pytest.mark.parametrize("name", FLOORS)
def test_a_shipped_floor_is_closed_or_shows_its_gap(name: str) -> None:
    here = FLOORS[name]
    found = fewest(here, limit_s=LIMIT_S, clock=time.process_time)
    print(f"{name}: {found.listed} stands, between {found.lower} and {found.upper}, {found.rounds} rounds")
    assert found.listed >= 400
    assert found.stations, found.gap_note
    assert 1 <= found.anywhere <= found.lower <= found.upper == len(found.stations)
    assert found.proven == (found.gap_note == "")
    spots = [Station(level=level, x=x, y=y) for level, x, y in found.stations]
    seen = survey(here, spots, found.best_share)
    assert all(stand.allowed for stand in seen.stands)
    assert all(cover.share >= cover.target_share - 1e-9 for cover in seen.covers if cover.asked)
    assert len(seen.islands) == 1
    firm = nx.Graph([(link.a, link.b) for link in seen.links if link.fault is None and link.firm])
    firm.add_nodes_from(range(len(spots)))
    assert nx.is_connected(firm) or not can_be_firm(here)


def can_be_firm(here: Place) -> bool:
    """Whether any set of listed stands covers the place on links with the placement error to spare."""
    stands = listed_stands(here)
    views = views_of(here, stands)
    demand = offer(here, views, best_of(here, views)).demand(sightings(here, stands).firm)
    return not demand.hopeless(np.ones(len(stands), dtype=bool))
