from __future__ import annotations

import pytest
import shapely

from scoring.floor.exact import ExactArea
from scoring.floor.invent import invent
from scoring.floor.listing import listed_stands
from scoring.floor.offer import Offer, best_of, offer, views_of
from scoring.floor.place import Place, prepare
from tests.scoring.floor.small_plans import kit, standard, two_rooms
from tests.scoring.kinds import shipped

JAMB_SEED, JAMB_ROOM, JAMB_STANDS = 120, (0, "store"), 160
"""A variation of the studio of whose store 149 listed stands see much the same through one narrow door."""

JAMB_ANSWER = [3, 12, 33, 77, 154]
"""Stands that the search tried there: of the store they show a hand's breadth too little."""


def offered_of(place: Place, stands: int) -> Offer:
    listed = listed_stands(place, target_stands=stands)
    views = views_of(place, listed)
    return offer(place, views, best_of(place, views))


def small() -> Offer:
    return offered_of(prepare(two_rooms(), kit(), standard()), 60)


def jamb() -> Offer:
    _, plan, rig = shipped.parts("place-studio")
    return offered_of(prepare(invent(plan, JAMB_SEED), rig, shipped.standard()), JAMB_STANDS)


def shown_m2(offered: Offer, stands: list[int], key: tuple[int, str]) -> float:
    """Area by another overlay than the code's own: all views at once, without a grid."""
    seen = [offered.views[s][key] for s in stands if key in offered.views[s]]
    return float(shapely.union_all(seen).area) if seen else 0.0


def held_to(offered: Offer, chosen: list[int]) -> None:
    """What a cut promises: without its stands too little is shown, and with any one of them enough."""
    lack = ExactArea(offered).check(chosen)
    assert lack is not None
    key, target = offered.keys[lack.room], offered.target_m2[lack.room]
    outside = set(lack.cut.tolist())
    inside = [s for s in range(len(offered.views)) if s not in outside]
    assert outside
    assert set(chosen) <= set(inside)
    assert lack.missing_m2 == pytest.approx(target - shown_m2(offered, chosen, key), abs=1e-6)
    assert shown_m2(offered, inside, key) < target
    for s in outside:
        assert shown_m2(offered, [*inside, s], key) >= target - 1e-6


def test_a_cut_is_the_stands_outside_a_largest_set_that_shows_too_little() -> None:
    offered = small()
    for first in range(0, len(offered.views), 7):
        if offered.missed([first]):
            held_to(offered, [first])


def test_no_stand_at_all_shows_too_little_of_everything() -> None:
    lack = ExactArea(small()).check([])
    assert lack is not None
    assert lack.missing_m2 == pytest.approx(float(small().target_m2.max()))


def test_views_that_meet_at_one_door_jamb_are_not_joined_hair_by_hair() -> None:
    """Joined one by one on a grid, their rounding doubled the rim of the region every few views, without end."""
    offered = jamb()
    seeing = [s for s, view in enumerate(offered.views) if JAMB_ROOM in view]
    assert len(seeing) > 100
    lack = ExactArea(offered).check(JAMB_ANSWER)
    assert lack is not None
    assert offered.keys[lack.room] == JAMB_ROOM
    held_to(offered, JAMB_ANSWER)
