from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from scoring.floor.fewest import best_shares
from scoring.floor.listing import listed_stands
from scoring.floor.place import Place, prepare
from scoring.floor.survey import survey
from tests.scoring.kinds.shipped import parts, standard


def fresh() -> Place:
    _, plan, kit = parts("place-studio")
    return prepare(plan, kit, standard())


def test_threads_that_meet_on_a_fresh_place_find_what_one_alone_finds() -> None:
    """Regions are shared between threads and GEOS fills them in when first read: without turns this crashes."""
    alone = fresh()
    stands = listed_stands(alone, target_stands=60)
    expected = best_shares(alone, stands)
    for _ in range(3):
        place = fresh()
        with ThreadPoolExecutor(6) as pool:
            found = list(pool.map(lambda _, place=place: best_shares(place, stands), range(6)))
        assert all(one == expected for one in found)


def test_surveys_at_once_equal_surveys_one_by_one() -> None:
    place = fresh()
    stands = listed_stands(place, target_stands=60)
    sets = [stands[i::10] for i in range(10)]
    expected = [survey(place, one, {}) for one in sets]
    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(lambda one: survey(place, one, {}), sets)) == expected
