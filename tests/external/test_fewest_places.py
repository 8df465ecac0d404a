"""The fewest stations of drawn places against brute force over every set of listed stands (elementary)."""

from __future__ import annotations

from itertools import combinations

import networkx as nx
import pytest

from scoring.floor.fewest import fewest
from scoring.floor.listing import listed_stands
from scoring.floor.place import prepare
from scoring.floor.plan import Plan
from scoring.floor.survey import survey
from tests.scoring.floor.small_plans import box, door, kit, level, plan, room, standard, thing

LISTED_MOST = 22


def bare(width: float) -> Plan:
    """Two rooms and a passage between them, no other openings."""
    spaces = [room("Left", box(0, 0, width, 3)), room("Right", box(width + 0.12, 0, 2 * width + 0.12, 3))]
    return plan([level(spaces, [door("left", "right", ((width + 0.06, 0.9), (width + 0.06, 2.1)), "passage")])])


def cut_up(width: float) -> Plan:
    """One room with a tall shelf across most of it."""
    things = [thing("Shelf", "room", box(width / 2 - 0.15, 0, width / 2 + 0.15, 2.6), 2.2, kind="shelf")]
    return plan([level([room("Room", box(0, 0, width, 4))], [], things)])


@pytest.mark.parametrize(
    ("drawn", "spacing"),
    [(bare(3.0), 1.5), (bare(4.0), 1.5), (bare(5.0), 1.9), (cut_up(5.0), 1.1), (cut_up(7.0), 1.5), (cut_up(6.0), 1.3)],
)
def test_it_equals_brute_force_over_surveys(drawn: Plan, spacing: float) -> None:
    here = prepare(drawn, kit(), standard())
    listed = listed_stands(here, spacing)
    assert len(listed) <= LISTED_MOST
    found = fewest(here, spacing_m=spacing, limit_s=60.0)
    whole = survey(here, listed, found.best_share)
    firm = nx.Graph([(link.a, link.b) for link in whole.links if link.fault is None and link.firm])
    firm.add_nodes_from(range(len(listed)))
    for size in range(1, found.upper + 1):
        for chosen in combinations(range(len(listed)), size):
            if not nx.is_connected(firm.subgraph(chosen)):
                continue
            covers = survey(here, [listed[s] for s in chosen], found.best_share).covers
            if all(cover.share >= cover.target_share - 1e-9 for cover in covers if cover.asked):
                assert size == found.upper
                return
    pytest.fail("brute force found no set as small as the reference")
