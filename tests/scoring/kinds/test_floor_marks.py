from __future__ import annotations

from scoring.floor.findings import Corner, Cover, WallsSeen
from scoring.kinds.floor_marks import corner_mark, incidence_mark
from scoring.kinds.words import Names
from tests.scoring.floor.small_plans import box, level, plan, room

ROOMS = ("Hall", "Kitchen", "Study", "Hall")
"""By place in the lists below: the first three below, the last one above, of the same id as the first."""


def names() -> Names:
    below = [room(name, box(4 * n, 0, 4 * n + 3, 3)) for n, name in enumerate(ROOMS[:3])]
    above = [room(ROOMS[3], box(0, 0, 3, 3))]
    return Names(plan([level(below), level(above, name="Upper floor", elevation_m=3.0)]))


def key(n: int) -> tuple[int, str]:
    return n // 3, ROOMS[n].lower()


def covers(*missed: int) -> list[Cover]:
    """Rooms of four corners, so many of each not seen."""
    return [
        Cover(
            *key(n), floor_m2=9.0, seen_m2=8.0, twice_m2=0.0, best_share=1.0, target_share=0.8, asked=True,
            corners=tuple(Corner((0.0, float(i)), 0 if i < count else 2) for i in range(4)),
            once=(), twice=(), unseen=(), worst_unseen=None,
        )
        for n, count in enumerate(missed)
    ]  # fmt: skip


def corner_words(*missed: int) -> str:
    mark = corner_mark(covers(*missed), names())
    assert mark is not None
    return mark.words


def flat_words(*flat_m: float) -> str:
    walls = [WallsSeen(*key(n), seen_m=10.0, flat_m=flat, flat=()) for n, flat in enumerate(flat_m)]
    mark = incidence_mark(walls, covers(0, 0, 0, 0), names(), 60.0)
    assert mark is not None
    return mark.words


def test_most_of_the_corners_means_more_than_half_of_them() -> None:
    assert corner_words(3, 1, 1, 0).endswith("Most of the others are in the hall on the ground floor.")
    assert corner_words(2, 1, 1, 1).endswith(
        "More of the others are in the hall on the ground floor than in any other room."
    )
    assert corner_words(0, 2, 2, 1).endswith("The kitchen and the study have the most of the others.")
    assert corner_words(0, 1, 0, 0).endswith("The other is in the kitchen.")
    assert corner_words(0, 3, 0, 0).endswith("All of the others are in the kitchen.")


def test_where_all_rooms_miss_as_many_corners_none_is_named() -> None:
    assert corner_words(1, 1, 1, 1) == "12 of 16 corners are seen with both their walls."


def test_a_room_is_not_taken_for_the_one_of_its_id_on_another_level() -> None:
    assert corner_words(0, 1, 0, 2).endswith("Most of the others are in the hall on the upper floor.")


def test_most_of_the_wall_means_more_than_half_of_it() -> None:
    assert flat_words(3.0, 1.0, 1.0, 0.0).endswith("Most of it is in the hall on the ground floor.")
    assert flat_words(2.0, 1.0, 1.0, 1.0).endswith(
        "More of it is in the hall on the ground floor than in any other room."
    )
    assert flat_words(0.0, 0.0, 0.0, 2.0).endswith("All of it is in the hall on the upper floor.")
