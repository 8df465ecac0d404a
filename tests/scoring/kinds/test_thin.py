from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError, Task
from scoring.floor.survey import survey
from scoring.kinds import kind
from scoring.kinds.case import given_stations, place_of
from tests.scoring.kinds.shipped import graded, like, parts, sentences, standard, stored, tasks

NAME = "thin-l-rooms"


def case() -> Task:
    return tasks(NAME, 1)[0]


def everyone(task: Task) -> list[int]:
    return list(range(1, len(task.public["given"]) + 1))


def needed(task: Task) -> list[int]:
    """Stations that cannot go, not even alone."""
    found = survey(place_of(task, standard()), given_stations(task), task.key["best_share"])
    return [number for number in everyone(task) if number - 1 not in found.spare]


def test_the_spare_stations_of_the_key_earn_everything() -> None:
    grade = graded(case(), {"remove": case().key["spare"]})
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


def test_an_open_plan_makes_a_case_too() -> None:
    task = kind("thin").make(*parts("thin-open-plan"), standard(), 3)
    grade = graded(task, {"remove": task.key["spare"]})
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")
    assert task.guess_floor < 0.5


def test_the_key_agrees_with_the_survey_of_the_set() -> None:
    found = survey(place_of(case(), standard()), given_stations(case()), case().key["best_share"])
    assert len(found.islands) == 1
    assert [index + 1 for index in found.spare_together] == case().key["spare"]


def test_taking_nothing_away_earns_nothing_and_names_what_could_go() -> None:
    grade = graded(case(), {"remove": []})
    assert (grade.verdict, grade.credit) == ("fails", pytest.approx(0.0))
    assert "Take away" in grade.marks[0].mend


def test_each_spare_station_earns_a_part() -> None:
    spare = case().key["spare"]
    credits = [graded(case(), {"remove": spare[:count]}).credit for count in range(len(spare) + 1)]
    assert credits == sorted(credits)
    assert len(set(credits)) == len(credits)
    assert graded(case(), {"remove": spare[:1]}).verdict == "look-again"


def test_a_station_that_matters_costs_and_what_it_breaks_is_named() -> None:
    rooms = [space["name"].lower() for level in case().public["plan"]["levels"] for space in level["spaces"]]
    spare = case().key["spare"]
    for number in needed(case()):
        grade = graded(case(), {"remove": [*spare, number]})
        assert grade.verdict == "fails"
        assert grade.credit < 1.0
        mark = next(one for one in grade.marks if one.title == f"Station {number} matters")
        assert mark.mend == f"Keep station {number}."
        assert "islands" in mark.words or any(room in mark.words.lower() for room in rooms)


def test_taking_everything_away_is_worth_less_than_half() -> None:
    grade = graded(case(), {"remove": everyone(case())})
    assert grade.verdict == "fails"
    assert grade.credit < 0.5


def test_the_public_part_says_nothing_of_what_can_go() -> None:
    assert not {"spare", "best_share"} & set(case().public)


def test_a_task_that_was_stored_grades_the_same() -> None:
    answer = {"remove": [1, 2]}
    assert graded(stored(case()), answer) == graded(case(), answer)


def test_other_names_for_the_rooms_change_no_credit() -> None:
    plan = case().public["plan"]
    levels = [
        {**level, "spaces": [{**space, "name": f"Chamber {n}"} for n, space in enumerate(level["spaces"], 1)]}
        for level in plan["levels"]
    ]
    renamed = replace(case(), public={**case().public, "plan": {**plan, "levels": levels}})
    assert graded(renamed, {"remove": [1, 3]}).credit == graded(case(), {"remove": [1, 3]}).credit


@pytest.mark.parametrize("count", [0, 2, 4])
def test_no_two_marks_of_a_grade_say_the_same(count: int) -> None:
    words = list(sentences(graded(case(), {"remove": everyone(case())[:count]})))
    assert len(words) == len(set(words))


@given(answer=like("remove"))
@settings(max_examples=100, deadline=None)
def test_whatever_comes_in_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(case(), answer).credit <= 1.0


@pytest.mark.parametrize("remove", ["2", [0], [99], [1, 1], [1.5], [True], [None], {"1": 2}])
def test_what_cannot_be_read_is_refused_with_its_place(remove: Any) -> None:
    with pytest.raises(AnswerError, match="remove"):
        graded(case(), {"remove": remove})
