from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError, Task
from scoring.floor.links import link
from scoring.floor.listing import listed_stands
from scoring.floor.plan import Station
from scoring.floor.repair import join_islands
from scoring.kinds.case import given_stations, place_of, station_json
from tests.scoring.kinds.shipped import graded, like, sentences, standard, stored, tasks

NAME = "join-l-rooms"


def case() -> Task:
    return tasks(NAME, 1)[0]


def repair(task: Task) -> list[dict[str, Any]]:
    """The fewest listed stations that join the islands of the key."""
    parted = [[number - 1 for number in island] for island in task.key["islands"]]
    found = join_islands(place_of(task, standard()), given_stations(task), parted)
    return [{"level": level, "x": x, "y": y} for level, x, y in found.stations]


def right(task: Task) -> dict[str, Any]:
    return {"islands": task.key["islands"], "stations": repair(task)}


def everyone(task: Task) -> list[int]:
    return list(range(1, len(task.public["given"]) + 1))


def test_the_reference_earns_everything() -> None:
    grade = graded(case(), right(case()))
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


def test_the_islands_of_the_key_hold_every_given_station_once() -> None:
    assert sorted(number for island in case().key["islands"] for number in island) == everyone(case())
    assert len(case().key["islands"]) >= 2


def test_an_answer_without_anything_earns_nothing_and_says_what_waits() -> None:
    grade = graded(case(), {"islands": [], "stations": []})
    assert (grade.verdict, grade.credit) == ("fails", pytest.approx(0.0))
    assert all(mark.mend for mark in grade.marks if mark.criterion in ("islands", "link"))


def test_naming_the_islands_alone_earns_their_part_and_the_islands_stay_apart() -> None:
    grade = graded(case(), {"islands": case().key["islands"], "stations": []})
    assert grade.verdict == "fails"
    assert grade.credit == pytest.approx(sum(mark.weight for mark in grade.marks if mark.criterion == "islands"))


def test_one_name_for_all_is_worth_less_than_the_islands() -> None:
    whole = graded(case(), {**right(case()), "islands": [everyone(case())]})
    assert whole.verdict == "fails"
    assert whole.credit < graded(case(), right(case())).credit


def test_the_order_of_islands_and_of_their_stations_does_not_matter() -> None:
    other = [list(reversed(island)) for island in reversed(case().key["islands"])]
    assert graded(case(), {**right(case()), "islands": other}).credit == pytest.approx(1.0)


def test_a_station_more_than_it_takes_costs_and_is_named() -> None:
    answer = right(case())
    answer["stations"] = [*answer["stations"], answer["stations"][0]]
    grade = graded(case(), answer)
    (count,) = [mark for mark in grade.marks if mark.criterion == "count"]
    assert count.credit < 1.0
    assert str(len(everyone(case())) + len(answer["stations"])) in count.mend


def strays(task: Task) -> list[dict[str, Any]]:
    """Listed stands that see none of the given stations and none of the repair."""
    place = place_of(task, standard())
    known = [*given_stations(task), *(Station(**one) for one in repair(task))]
    listed = listed_stands(place, target_stands=160)
    return [station_json(one) for one in listed if not any(link(place, one, other).holds for other in known)]


def test_a_stray_beside_the_right_repair_costs_its_part_and_is_what_can_go() -> None:
    answer, stray = right(case()), strays(case())[0]
    number = len(everyone(case())) + len(answer["stations"]) + 1
    grade = graded(case(), {**answer, "stations": [*answer["stations"], stray]})
    marks = {mark.criterion: mark for mark in grade.marks}
    had, fewest = len(case().key["islands"]), case().key["fewest"]
    assert marks["link"].credit == pytest.approx((had - 1) / had)
    assert marks["count"].credit == pytest.approx(fewest / (fewest + 1))
    assert marks["link"].mend == f"The given ones are joined; take away station {number}."
    assert f"station {number}:" in marks["count"].mend
    assert not [shape for shape in marks["link"].shapes if shape.role == "missing"]


def test_strays_alone_join_nothing() -> None:
    grade = graded(case(), {**right(case()), "stations": strays(case())[:3]})
    marks = {mark.criterion: mark for mark in grade.marks}
    assert marks["link"].credit == marks["count"].credit == 0.0
    assert "would join the given ones" in marks["link"].mend


def test_the_public_part_says_nothing_of_the_islands_or_the_repair() -> None:
    assert not {"reference", "repair", "fewest", "islands"} & set(case().public)
    assert case().public["asks"]["islands"] == len(everyone(case()))


def test_a_task_that_was_stored_grades_the_same() -> None:
    answer = {"islands": [[1, 2]], "stations": repair(case())[:1]}
    assert graded(stored(case()), answer) == graded(case(), answer)


def test_other_names_for_the_rooms_change_no_credit() -> None:
    plan = case().public["plan"]
    levels = [
        {**level, "spaces": [{**space, "name": f"Chamber {n}"} for n, space in enumerate(level["spaces"], 1)]}
        for level in plan["levels"]
    ]
    renamed = replace(case(), public={**case().public, "plan": {**plan, "levels": levels}})
    answer = {"islands": [[1, 2]], "stations": repair(case())}
    assert graded(renamed, answer).credit == graded(case(), answer).credit


@pytest.mark.parametrize("added", [0, 1])
def test_no_two_marks_of_a_grade_say_the_same(added: int) -> None:
    words = list(sentences(graded(case(), {"islands": [[1, 2]], "stations": repair(case())[:added]})))
    assert len(words) == len(set(words))


@given(answer=like("islands", "stations"))
@settings(max_examples=100, deadline=None)
def test_whatever_comes_in_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(case(), answer).credit <= 1.0


@pytest.mark.parametrize("islands", ["1, 2", [[1], [1]], [[0]], [[99]], [["1"]], [[True]], [1, 2]])
def test_islands_that_cannot_be_read_are_refused_with_their_place(islands: Any) -> None:
    with pytest.raises(AnswerError, match="islands"):
        graded(case(), {"islands": islands, "stations": []})
