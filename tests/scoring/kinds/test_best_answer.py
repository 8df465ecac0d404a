"""The key's own best answer, on which a change of limits is tried: right under the standard that made its case."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scoring.kinds import kind
from tests.scoring.kinds.shipped import standard, tasks

NAMES = ("join-l-rooms", "stand-which-stair", "stand-best-room", "thin-l-rooms", "threshold-guest-house")


@pytest.mark.parametrize("name", NAMES)
def test_it_earns_everything_under_the_standard_of_its_case(name: str) -> None:
    (task,) = tasks(name, 1)
    module = kind(task.kind)
    grade = module.grade(task, module.best_answer(task, standard()), standard())  # type: ignore[attr-defined]
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


@pytest.mark.parametrize(
    ("name", "limits"),
    [
        ("join-l-rooms", {"link_max_m": 3.0}),
        ("stand-best-room", {"sight_range_m": 2.0}),
        ("thin-l-rooms", {"sight_range_m": 2.0}),
        ("stand-which-stair", {"headroom_min_m": 6.0}),
    ],
)
def test_it_earns_less_where_other_limits_make_another_answer_right(name: str, limits: dict[str, float]) -> None:
    (task,) = tasks(name, 1)
    module, other = kind(task.kind), replace(standard(), **limits)
    assert module.grade(task, module.best_answer(task, other), other).credit < 0.995  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ["threshold-guest-house", "threshold-town-house"])
def test_the_limit_of_a_free_circle_decides_from_where_a_small_room_is_shot(name: str) -> None:
    (task,) = tasks(name, 1)
    module, radius = kind("threshold"), task.key["radius_m"]
    for limit, said in ((radius + 0.1, "door"), (radius - 0.1, "inside")):
        other = replace(standard(), threshold_circle_m=limit)
        best = module.best_answer(task, other)  # type: ignore[attr-defined]
        assert best["from"] == said
        assert (module.grade(task, best, other).verdict == "holds") is (said == task.key["right"])
