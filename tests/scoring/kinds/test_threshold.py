from __future__ import annotations

import contextlib
from math import dist
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.floor.footing import free_circle
from scoring.floor.plan import Station
from scoring.floor.stands import stand, strict
from scoring.kinds.case import place_of
from scoring.kinds.door_line import door_spots, doors, offset
from tests.scoring.kinds.shipped import graded, like, sentences, standard, stored, tasks

NAMES = ("threshold-guest-house", "threshold-town-house")


def best(task: Any) -> dict[str, Any]:
    level, x, y = task.key["best"]
    return {"level": level, "x": x, "y": y}


def right(task: Any) -> dict[str, Any]:
    return {"from": task.key["right"], "stations": [best(task)]}


@pytest.mark.parametrize("name", NAMES)
def test_the_computed_answer_earns_everything(name: str) -> None:
    for task in tasks(name, 4):
        grade = graded(task, right(task))
        assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds"), task.seed


@pytest.mark.parametrize("name", NAMES)
def test_the_spot_that_is_drawn_needs_no_benefit(name: str) -> None:
    for task in tasks(name, 6):
        gaps = strict(place_of(task, standard()), Station(**best(task)))
        assert [gap.fault for gap in gaps if gap.spare < 0.0] == [], task.seed


@pytest.mark.parametrize("name", NAMES)
def test_the_distances_that_are_advised_are_those_at_which_the_legs_fit(name: str) -> None:
    task = next(t for t in tasks(name, 6) if t.key["right"] == "door")
    place, level, space = place_of(task, standard()), task.key["level"], task.key["space"]
    outs = []
    for spot in door_spots(place, level, space):
        found = offset(place, level, space, spot)
        if found is not None and all(gap.spare >= 0.0 for gap in strict(place, spot)):
            outs.append(found.out_m)
    span = sorted({f"{min(outs):.2f} m", f"{max(outs):.2f} m"})
    far = {**best(task), "x": best(task)["x"] + 2.0, "y": best(task)["y"] + 2.0}
    assert spot_mark(task, "door", **far).mend.startswith(f"Stand {' to '.join(span)} outside it")


def test_both_answers_come_up() -> None:
    assert {task.key["right"] for name in NAMES for task in tasks(name, 6)} == {"inside", "door"}


@pytest.mark.parametrize("name", NAMES)
def test_the_free_circle_decides_and_is_never_near_its_limit(name: str) -> None:
    limit, error = standard().threshold_circle_m, standard().placement_error_m
    for task in tasks(name, 6):
        gap = task.key["radius_m"] - limit
        assert (gap > 0) == (task.key["right"] == "inside")
        assert abs(gap) >= 0.5 * error


@pytest.mark.parametrize("name", NAMES)
def test_the_other_choice_fails_and_says_the_radius(name: str) -> None:
    (task, *_) = tasks(name, 2)
    other = "door" if task.key["right"] == "inside" else "inside"
    grade = graded(task, {"from": other, "stations": [best(task)]})
    assert grade.verdict == "fails"
    assert f"{task.key['radius_m']:.2f} m" in grade.marks[0].words


def test_distance_counts_from_the_wall_face_along_the_door_axis() -> None:
    task = next(t for t in tasks("threshold-guest-house", 6) if t.key["right"] == "door")
    place = place_of(task, standard())
    found = offset(place, task.key["level"], task.key["space"], Station(**best(task)))
    assert found is not None
    assert found.aside_m == pytest.approx(0.0, abs=2e-3)
    assert standard().threshold_min_m - 2e-3 <= found.out_m <= standard().threshold_max_m + 2e-3


def test_farther_from_the_door_is_worth_less() -> None:
    task = next(t for t in tasks("threshold-guest-house", 6) if t.key["right"] == "door")
    place, spot = place_of(task, standard()), best(task)
    here = offset(place, task.key["level"], task.key["space"], Station(**spot))
    steps = [{**spot, axis: spot[axis] + sign * 1.0} for axis in ("x", "y") for sign in (1, -1)]
    far = max(
        (s for s in steps),
        key=lambda s: getattr(offset(place, s["level"], task.key["space"], Station(**s)), "out_m", -9.0),
    )
    assert here is not None
    grade = graded(task, {"from": "door", "stations": [far]})
    spot_mark = next(mark for mark in grade.marks if mark.criterion == "spot")
    assert spot_mark.credit < 0.5
    assert spot_mark.mend


def spot_mark(task: Any, said: str, **station: Any) -> Any:
    return next(m for m in graded(task, {"from": said, "stations": [station]}).marks if m.criterion == "spot")


def sides() -> list[Any]:
    """A case of either right answer."""
    made = [task for name in NAMES for task in tasks(name, 6)]
    return [next(task for task in made if task.key["right"] == side) for side in ("inside", "door")]


def other_side(task: Any) -> dict[str, Any]:
    """A stand on the wrong side of the door: the middle of the room, or on a door's axis outside."""
    place, level, space = place_of(task, standard()), task.key["level"], task.key["space"]
    if task.key["right"] == "door":
        _, (x, y) = free_circle(place, level, space)
        return {"level": level, "x": x, "y": y}
    spots = door_spots(place, level, space)
    one = next((spot for spot in spots if stand(place, spot).allowed), spots[0])
    return {"level": level, "x": one.x, "y": one.y}


def test_whoever_says_one_thing_and_stands_for_the_other_is_told_so() -> None:
    for task in sides():
        grade = graded(task, {"from": task.key["right"], "stations": [other_side(task)]})
        assert grade.verdict == "fails", task.key["right"]
        marks = {mark.criterion: mark for mark in grade.marks}
        assert marks["spot"].credit == 0.0
        assert marks["floor"].credit == 0.0
        assert "%" not in marks["floor"].words
        assert marks["floor"].words.startswith("Nothing counts as seen")


def test_from_a_spot_where_no_tripod_stands_nothing_counts_as_seen_and_nothing_is_drawn_as_seen() -> None:
    (_, task) = sides()
    place, level, space = place_of(task, standard()), task.key["level"], task.key["space"]
    hole = doors(place, level, space)[0]
    grade = graded(task, {"from": "door", "stations": [{"level": level, "x": hole.middle[0], "y": hole.middle[1]}]})
    mark = next(mark for mark in grade.marks if mark.criterion == "floor")
    assert mark.words == "Nothing counts as seen: no tripod stands there."
    assert not [shape for shape in grade.shapes if shape.role == "seen-once"]


def test_too_near_the_door_the_limit_is_the_lesser_one() -> None:
    (_, task) = sides()
    place, level, space = place_of(task, standard()), task.key["level"], task.key["space"]
    near = door_spots(place, level, space)[0]
    hole = min(doors(place, level, space), key=lambda one: dist(one.middle, (near.x, near.y)))
    off = [0.9 * (hole.middle[0] - near.x), 0.9 * (hole.middle[1] - near.y)]
    mark = spot_mark(task, "door", level=level, x=near.x + off[0], y=near.y + off[1])
    assert mark.value < standard().threshold_min_m
    assert mark.limit == standard().threshold_min_m


@pytest.mark.parametrize("name", NAMES)
def test_a_task_that_was_stored_grades_the_same(name: str) -> None:
    (task,) = tasks(name, 1)
    answer = {"from": "door", "stations": [{**best(task), "x": best(task)["x"] + 0.2}]}
    assert graded(stored(task), answer) == graded(task, answer)


def test_the_task_names_the_room_and_nothing_of_the_answer() -> None:
    (task,) = tasks("threshold-guest-house", 1)
    assert task.public["asks"]["room"] in task.public["task"]
    assert not {"right", "radius_m", "best"} & set(task.public["asks"])


@pytest.mark.parametrize("name", NAMES)
def test_no_two_marks_of_a_grade_say_the_same(name: str) -> None:
    (task,) = tasks(name, 1)
    words = list(sentences(graded(task, {"from": "inside", "stations": [best(task)]})))
    assert len(words) == len(set(words))


@given(answer=like("from", "stations"))
@settings(max_examples=150, deadline=None)
def test_whatever_comes_in_is_graded_or_refused_in_words(answer: Any) -> None:
    (task,) = tasks("threshold-guest-house", 1)
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task, answer).credit <= 1.0
