from __future__ import annotations

from typing import Any

import networkx
import pytest

from scoring.drill import Task
from scoring.floor.links import links
from scoring.floor.stands import stand
from scoring.kinds.case import given_stations, place_of
from tests.scoring.kinds.shipped import graded, standard, tasks

NAMES = ("join-corner-hall", "join-one-bedroom")


def repair(task: Task) -> list[dict[str, Any]]:
    return [{"level": level, "x": x, "y": y} for level, x, y in task.key["reference"]["stations"]]


@pytest.mark.parametrize("name", NAMES)
def test_the_islands_are_the_components_of_the_links_whichever_way_the_placement_error_falls(name: str) -> None:
    for task in tasks(name, 2):
        spots = given_stations(task)
        found = links(place_of(task, standard()), spots)
        for pairs in (
            [(one.a, one.b) for one in found if one.fault is None and one.firm],
            [(one.a, one.b) for one in found if one.holds or not one.firm],
        ):
            graph = networkx.Graph(pairs)
            graph.add_nodes_from(range(len(spots)))
            parts = sorted(sorted(index + 1 for index in part) for part in networkx.connected_components(graph))
            assert parts == sorted(task.key["islands"])


@pytest.mark.parametrize("name", NAMES)
def test_every_given_station_stands_where_a_tripod_may_with_room_to_spare(name: str) -> None:
    for task in tasks(name, 2):
        found = [stand(place_of(task, standard()), spot) for spot in given_stations(task)]
        assert all(one.allowed and one.firm for one in found)


@pytest.mark.parametrize("name", NAMES)
def test_the_computed_answer_holds_and_guessing_earns_far_less(name: str) -> None:
    for task in tasks(name, 2):
        grade = graded(task, {"islands": task.key["islands"], "stations": repair(task)})
        assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")
        assert task.guess_floor < 0.6


@pytest.mark.parametrize("name", NAMES)
def test_an_island_named_wrong_fails_and_says_which_stations_have_no_link_to_it(name: str) -> None:
    (task,) = tasks(name, 1)
    everyone = list(range(1, len(task.public["given"]) + 1))
    grade = graded(task, {"islands": [everyone], "stations": repair(task)})
    assert grade.verdict == "fails"
    marks = [mark for mark in grade.marks if mark.criterion == "islands"]
    assert len(marks) == len(task.key["islands"])
    for mark, island in zip(marks, task.key["islands"], strict=True):
        assert mark.credit == 0.0
        assert all(str(number) in mark.words for number in island)
        assert all(str(number) in mark.mend for number in everyone if number not in island)


@pytest.mark.parametrize("name", NAMES)
def test_an_added_station_in_a_wall_is_named_and_joins_nothing(name: str) -> None:
    (task,) = tasks(name, 1)
    off = {"level": 0, "x": -90.0, "y": -90.0}
    grade = graded(task, {"islands": task.key["islands"], "stations": [off]})
    number = len(task.public["given"]) + 1
    assert grade.verdict == "fails"
    assert any(mark.criterion == "stand" and f"tation {number} " in mark.words for mark in grade.marks)
    assert next(mark for mark in grade.marks if mark.criterion == "link").credit == 0.0


def test_a_station_left_without_an_island_costs_only_its_own_island() -> None:
    (task,) = tasks("join-corner-hall", 1)
    order = max(range(len(task.key["islands"])), key=lambda index: len(task.key["islands"][index]))
    said = [island[1:] if index == order else island for index, island in enumerate(task.key["islands"])]
    grade = graded(task, {"islands": said, "stations": repair(task)})
    marks = [mark for mark in grade.marks if mark.criterion == "islands"]
    assert [index for index, mark in enumerate(marks) if mark.credit < 1.0] == [order]
    assert f"station {task.key['islands'][order][0]}" in marks[order].mend
