from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.floor.plan import Station
from scoring.floor.stands import stand as standing
from scoring.kinds import rooms
from scoring.kinds.best_spot import share_seen
from scoring.kinds.case import given_stations, place_of, station_json
from scoring.kinds.footholds import HAZARDS
from tests.scoring.kinds.shipped import graded, like, sentences, standard, stored, tasks

WHICH = ("stand-which-flat", "stand-which-stair", "stand-which-yard", "stand-which-attic")
BEST = "stand-best-room"


def key_answer(task: Any) -> dict[str, Any]:
    return {"allowed": task.key["allowed"], "why": task.key["faults"]}


def of_skill(task: Any, answer: dict[str, Any], skill: str) -> float:
    return next(float(one.credit) for one in graded(task, answer).evidence if one.skill == skill)


@pytest.mark.parametrize("name", WHICH)
def test_every_stand_of_a_case_has_the_verdict_that_the_engine_gives_with_room_to_spare(name: str) -> None:
    for task in tasks(name, 3):
        found = [standing(place_of(task, standard()), spot) for spot in given_stations(task)]
        assert [n for n, one in enumerate(found, 1) if one.allowed] == task.key["allowed"]
        assert all(one.firm for one in found)
        assert all(len({reason.fault for reason in one.reasons}) <= 1 for one in found)


@pytest.mark.parametrize("name", WHICH)
def test_the_right_verdicts_with_the_right_reasons_earn_everything(name: str) -> None:
    for task in tasks(name, 3):
        grade = graded(task, key_answer(task))
        assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


def test_a_right_verdict_for_another_reason_earns_part_and_names_the_right_one() -> None:
    (task,) = tasks("stand-which-stair", 1)
    answer = key_answer(task)
    number, fault = next(iter(task.key["faults"].items()))
    answer = {**answer, "why": {**answer["why"], number: "headroom" if fault != "headroom" else "legs"}}
    grade = graded(task, answer)
    mark = grade.marks[int(number) - 1]
    assert mark.credit == pytest.approx(0.6)
    assert grade.verdict == "look-again"
    assert f"stand {number}" in mark.mend


def test_allowing_a_stand_on_treads_fails_and_defers_to_local_codes() -> None:
    task = next(t for t in tasks("stand-which-stair", 3) if "on-flight" in t.key["faults"].values())
    number = next(int(n) for n, fault in task.key["faults"].items() if fault == "on-flight")
    why = {n: fault for n, fault in task.key["faults"].items() if n != str(number)}
    grade = graded(task, {"allowed": sorted([*task.key["allowed"], number]), "why": why})
    mark = grade.marks[number - 1]
    assert (grade.verdict, mark.credit) == ("fails", 0.0)
    assert "treads" in mark.words
    assert "no code check" in mark.mend


@pytest.mark.parametrize("name", ["stand-which-stair", "stand-which-yard"])
def test_staying_safe_is_judged_by_the_stands_that_could_hurt_somebody(name: str) -> None:
    for task in tasks(name, 3):
        hurts = [number for number, fault in task.key["faults"].items() if fault in HAZARDS]
        one, *others = task.key["allowed"]
        too_careful = {"allowed": others, "why": {**task.key["faults"], str(one): "legs"}}
        assert of_skill(task, too_careful, "G1") == 1.0
        assert graded(task, too_careful).credit < 1.0
        assert of_skill(task, {"allowed": [], "why": {}}, "G1") == pytest.approx(0.6)
        for number in hurts:
            why = {n: fault for n, fault in task.key["faults"].items() if n != number}
            assert of_skill(task, {"allowed": [*task.key["allowed"], int(number)], "why": why}, "G1") == 0.0


def test_on_a_stair_case_treads_count_for_stairs_and_a_tight_stand_for_neither() -> None:
    task = next(t for t in tasks("stand-which-stair", 5) if {"legs", "headroom"} & set(t.key["faults"].values()))
    tight = next(n for n, fault in task.key["faults"].items() if fault not in HAZARDS)
    why = {n: fault for n, fault in task.key["faults"].items() if n != tight}
    answer = {"allowed": [*task.key["allowed"], int(tight)], "why": why}
    assert (of_skill(task, answer, "E1"), of_skill(task, answer, "G1")) == (1.0, 1.0)
    assert of_skill(task, answer, "D4") < 1.0


def test_a_case_that_names_no_hazards_is_graded_as_it_was() -> None:
    (task,) = tasks("stand-which-stair", 1)
    old = replace(task, key={name: value for name, value in task.key.items() if name != "hazards"})
    grade = graded(old, {"allowed": task.key["allowed"][1:], "why": task.key["faults"]})
    assert [one.credit for one in grade.evidence] == pytest.approx([grade.credit] * 3, abs=1e-6)
    assert {mark.criterion for mark in grade.marks} == {"stand"}


@pytest.mark.parametrize("name", ["stand-which-stair", "stand-which-yard"])
def test_no_one_word_against_every_stand_earns_all_of_staying_safe(name: str) -> None:
    for task in tasks(name, 5):
        assert task.key["guess"]["G1"] < 0.9


def test_the_yard_asks_about_water_and_the_drive() -> None:
    faults = {fault for task in tasks("stand-which-yard", 5) for fault in task.key["faults"].values()}
    assert {"edge", "no-stand-zone"} <= faults


@pytest.mark.parametrize("name", WHICH)
def test_guessing_earns_about_the_floor_and_no_more(name: str) -> None:
    (task,) = tasks(name, 1)
    everyone = list(range(1, len(task.public["given"]) + 1))
    assert graded(task, {"allowed": everyone}).credit <= task.guess_floor + 1e-9
    assert graded(task, {"allowed": []}).credit <= task.guess_floor + 1e-9
    assert task.guess_floor < 0.7


def test_guessing_a_best_spot_is_guessing_in_the_room_that_the_case_names() -> None:
    for task in tasks(BEST, 4):
        place, level, space = place_of(task, standard()), task.key["level"], task.key["space"]
        thrown = rooms.thrown_into(place, level, space, 24, task.seed)
        stood = [place.room(Station(**one)) for answer in thrown for one in answer["stations"]]
        assert {room.space.id for room in stood if room is not None} == {space}
        worth = [graded(task, answer).credit for answer in thrown]
        assert task.guess_floor == pytest.approx(sum(worth) / len(worth), abs=1e-6)


def test_the_best_spot_holds_and_a_corner_of_the_room_does_not() -> None:
    (task,) = tasks(BEST, 1)
    level, x, y = task.key["best"]
    best = graded(task, {"stations": [{"level": level, "x": x, "y": y}]})
    assert best.verdict == "holds"
    space = next(s for s in task.public["plan"]["levels"][level]["spaces"] if s["id"] == task.key["space"])
    corner = graded(task, {"stations": [{"level": level, "x": space["outline"][0][0], "y": space["outline"][0][1]}]})
    assert corner.verdict == "fails"
    assert corner.credit < 0.5


def test_what_is_asked_of_a_spot_is_what_the_best_one_has() -> None:
    for task in tasks(BEST, 4):
        place, (level, x, y) = place_of(task, standard()), task.key["best"]
        best = Station(level=level, x=x, y=y)
        clear_m = standing(place, best).clearance_m
        assert task.key["best_share"] == pytest.approx(share_seen(place, best, level, task.key["space"]), abs=2e-6)
        assert task.key["want_m"] == pytest.approx(min(standard().clearance_good_m, clear_m), abs=2e-6)
        grade = graded(task, {"stations": [{"level": level, "x": x, "y": y}]})
        assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


def test_a_spot_too_near_a_wall_is_told_what_the_best_one_keeps() -> None:
    for task in tasks(BEST, 4):
        place, (level, x, y) = place_of(task, standard()), task.key["best"]
        clear_m = standing(place, Station(level=level, x=x, y=y)).clearance_m
        steps = [(dx, dy) for dx in (-0.8, 0.0, 0.8) for dy in (-0.8, 0.0, 0.8)]
        near = [station_json(Station(level=level, x=x + dx, y=y + dy)) for dx, dy in steps]
        grades = [graded(task, {"stations": [one]}) for one in near]
        mends = {mark.mend for grade in grades for mark in grade.marks if mark.criterion == "clearance" and mark.mend}
        assert [mend for mend in mends if f"{clear_m:.2f} m" in mend] == list(mends) != []


def test_from_a_spot_where_no_tripod_stands_nothing_counts_as_seen_and_nothing_is_drawn_as_seen() -> None:
    (task,) = tasks(BEST, 1)
    level = task.key["level"]
    space = next(s for s in task.public["plan"]["levels"][level]["spaces"] if s["id"] == task.key["space"])
    left, low = (sum(pair) / len(space["outline"]) for pair in zip(*space["outline"], strict=True))
    x, y = space["outline"][0]
    grade = graded(task, {"stations": [{"level": level, "x": x + 0.02 * (left - x), "y": y + 0.02 * (low - y)}]})
    mark = next(mark for mark in grade.marks if mark.criterion == "floor")
    assert mark.credit == 0.0
    assert mark.words == "Nothing counts as seen: no tripod stands there."
    assert not [shape for shape in grade.shapes if shape.role == "seen-once"]


def test_the_task_names_the_room_and_nothing_of_the_answer() -> None:
    (task,) = tasks(BEST, 1)
    assert "{room}" not in task.public["task"]
    assert task.public["asks"]["room"] in task.public["task"]
    assert "best" not in task.public


@pytest.mark.parametrize("name", [*WHICH, BEST])
def test_a_task_that_was_stored_grades_the_same(name: str) -> None:
    (task,) = tasks(name, 1)
    answer: dict[str, Any] = {"allowed": [1, 2]}
    if name == BEST:
        level, x, y = task.key["best"]
        answer = {"stations": [{"level": level, "x": x + 0.4, "y": y}]}
    assert graded(stored(task), answer) == graded(task, answer)


@pytest.mark.parametrize("name", WHICH)
def test_no_two_marks_of_a_grade_say_the_same(name: str) -> None:
    (task,) = tasks(name, 1)
    for answer in ({"allowed": []}, key_answer(task)):
        words = list(sentences(graded(task, answer)))
        assert len(words) == len(set(words))


@given(answer=like("allowed", "why"))
@settings(max_examples=150, deadline=None)
def test_whatever_comes_in_verdicts_are_graded_or_refused_in_words(answer: Any) -> None:
    (task,) = tasks("stand-which-flat", 1)
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task, answer).credit <= 1.0


@given(answer=like("stations"))
@settings(max_examples=100, deadline=None)
def test_whatever_comes_in_a_spot_is_graded_or_refused_in_words(answer: Any) -> None:
    (task,) = tasks(BEST, 1)
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(task, answer).credit <= 1.0
