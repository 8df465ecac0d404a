from __future__ import annotations

import contextlib
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError, Mark, Task, Unfit
from scoring.floor.invent import fingerprint, invent
from scoring.floor.turn import turned
from scoring.kinds import kind, rooms
from scoring.kinds.answers import STATIONS_MAX
from scoring.kinds.case import place_of
from tests.scoring.kinds.shipped import graded, like, parts, sentences, standard, stored, tasks

STUDIO = "place-studio"


def studio() -> Task:
    return tasks(STUDIO, 1)[0]


def reference(task: Task) -> list[dict[str, Any]]:
    return [{"level": level, "x": x, "y": y} for level, x, y in task.key["reference"]["stations"]]


def test_the_reference_passes_its_own_grade() -> None:
    grade = graded(studio(), {"stations": reference(studio())})
    assert grade.verdict in ("holds", "look-again")
    assert grade.credit > 0.95
    assert not [mark.words for mark in grade.marks if mark.criterion in ("floor", "link", "stand") and mark.credit < 1]


def test_the_reference_lies_between_its_bounds() -> None:
    bounds = studio().key["reference"]
    assert bounds["anywhere"] <= bounds["upper"]
    assert bounds["lower"] <= bounds["upper"] == len(bounds["stations"])


def test_a_sound_set_of_fewer_stations_than_the_reference_earns_as_much_and_is_told_no_lack() -> None:
    task, spots = studio(), reference(studio())
    larger = {**task.key["reference"], "upper": len(spots) + 1, "lower": len(spots) + 1}
    beaten = replace(task, key={**task.key, "reference": larger})
    grade = graded(beaten, {"stations": spots})
    assert grade.credit == pytest.approx(graded(task, {"stations": spots}).credit)
    assert not [words for words in sentences(grade) if "at least" in words or "not placed yet" in words]


def test_an_empty_sheet_earns_nothing_and_is_told_what_the_reference_uses() -> None:
    grade = graded(studio(), {"stations": []})
    assert (grade.verdict, grade.credit) == ("fails", pytest.approx(0.0, abs=0.05))
    assert str(studio().key["reference"]["upper"]) in grade.summary


def test_leaving_out_a_station_costs_and_names_what_is_missing() -> None:
    spots = reference(studio())
    whole = graded(studio(), {"stations": spots}).credit
    for left_out in range(len(spots)):
        grade = graded(studio(), {"stations": spots[:left_out] + spots[left_out + 1 :]})
        assert grade.credit < whole
        assert any(mark.mend for mark in grade.marks)


def floors(task: Task, stations: list[dict[str, Any]]) -> dict[str, Mark]:
    """The marks about floor, by title."""
    return {mark.title: mark for mark in graded(task, {"stations": stations}).marks if mark.criterion == "floor"}


def test_the_station_that_a_room_is_short_of_is_a_new_one_and_brings_what_is_said() -> None:
    task, spots = studio(), reference(studio())
    short = 0
    for left_out in range(len(spots)):
        placed = spots[:left_out] + spots[left_out + 1 :]
        for title, mark in floors(task, placed).items():
            if not mark.mend:
                continue
            short += 1
            (more,) = [shape for shape in mark.shapes if shape.role == "missing"]
            station = {"level": more.level, "x": more.at[0], "y": more.at[1]}
            assert station not in placed
            brought = floors(task, [*placed, station])[title].value
            assert brought is not None
            assert mark.value is not None
            assert brought > mark.value
            said = re.search(r"would bring it to ([0-9.]+) %", mark.mend)
            assert said is not None, mark.mend
            assert float(said[1]) == pytest.approx(brought, abs=0.6)
    assert short


def test_a_station_more_never_lowers_the_floor_that_is_credited() -> None:
    spots = reference(studio())

    def floor(count: int) -> float:
        marks = graded(studio(), {"stations": spots[:count]}).marks
        return sum(mark.credit * mark.weight for mark in marks if mark.criterion == "floor")

    credits = [floor(count) for count in range(len(spots) + 1)]
    assert credits == sorted(credits)


def test_the_public_part_says_nothing_of_the_reference() -> None:
    task = studio()
    assert not {"reference", "best_share", "circles"} & set(task.public)
    assert task.public["given"] == []


def test_a_task_that_was_stored_grades_the_same() -> None:
    answer = {"stations": reference(studio())[:2]}
    assert graded(stored(studio()), answer) == graded(studio(), answer)


def test_other_names_for_the_rooms_change_no_credit() -> None:
    task = studio()
    plan = task.public["plan"]
    levels = [
        {**level, "spaces": [{**space, "name": f"Chamber {n}"} for n, space in enumerate(level["spaces"], 1)]}
        for level in plan["levels"]
    ]
    renamed = replace(task, public={**task.public, "plan": {**plan, "levels": levels}})
    answer = {"stations": reference(task)[:3]}
    assert graded(renamed, answer).credit == graded(task, answer).credit


def test_no_two_marks_of_a_grade_say_the_same() -> None:
    for count in range(3):
        words = list(sentences(graded(studio(), {"stations": reference(studio())[:count]})))
        assert len(words) == len(set(words))


def test_weights_make_one_whole_and_every_mark_that_counts_says_something() -> None:
    grade = graded(studio(), {"stations": reference(studio())[:1]})
    assert sum(mark.weight for mark in grade.marks) == pytest.approx(1.0)
    assert all(mark.words and mark.title for mark in grade.marks)


def test_walls_met_at_a_flat_angle_are_told_without_credit() -> None:
    mark = next(m for m in graded(studio(), {"stations": reference(studio())[:1]}).marks if m.criterion == "incidence")
    assert (mark.weight, mark.credit, mark.unit) == (0.0, 1.0, "%")
    assert mark.value is not None
    assert 0.0 < mark.value < 100.0
    assert f"{mark.value:.0f} %" in mark.words
    assert f"{standard().incidence_report_deg:.0f}°" in mark.words
    assert mark.shapes


def test_guessing_is_worth_the_guessing_floor_and_less_than_knowing() -> None:
    assert 0.0 <= studio().guess_floor < 0.8


def test_stations_heaped_on_one_spot_join_nothing() -> None:
    task = studio()
    place, upper = place_of(task, standard()), task.key["reference"]["upper"]
    for count in (1, upper, 2 * upper):
        (mark,) = [one for one in graded(task, rooms.heaped(place, count)).marks if one.criterion == "link"]
        assert mark.credit == 0.0, count


def test_a_heap_or_a_flood_of_stations_is_worth_the_guessing_floor_at_most() -> None:
    task = studio()
    place, upper = place_of(task, standard()), task.key["reference"]["upper"]
    for answers in ([rooms.heaped(place, upper)], rooms.thrown(place, STATIONS_MAX, task.seed)):
        grades = [graded(task, answer) for answer in answers]
        assert sum(grade.credit for grade in grades) / len(grades) <= task.guess_floor + 1e-6
        for skill, floor in task.key["guess"].items():
            worth = [one.credit for grade in grades for one in grade.evidence if one.skill == skill]
            assert sum(worth) / len(worth) <= floor + 1e-6, skill


def test_one_station_short_of_the_fewest_every_join_but_one_is_made() -> None:
    spots = reference(studio())
    fewest = studio().key["reference"]["lower"]
    grade = graded(studio(), {"stations": spots[: fewest - 1]})
    (mark,) = [one for one in grade.marks if one.criterion == "link"]
    assert mark.value is not None
    assert mark.credit == pytest.approx((fewest - 1 - mark.value) / (fewest - 1))


def test_variations_are_not_turned_or_mirrored_copies() -> None:
    _, plan, _ = parts(STUDIO)
    assert fingerprint(turned(plan, 1, True)) == fingerprint(plan)
    prints = {fingerprint(invent(plan, seed)) for seed in range(1, 13)}
    assert len(prints) == 12


def test_variations_differ_in_what_the_reference_needs() -> None:
    found = tasks(STUDIO, 3)
    assert len({(t.key["reference"]["upper"], t.key["reference"]["lower"], t.fingerprint) for t in found}) == 3
    assert len({t.key["reference"]["upper"] for t in found}) > 1


@pytest.mark.proof
def test_of_two_hundred_variations_at_least_half_differ_in_count_or_islands() -> None:
    """A variation differs when its reference count, bound or the way its links join differs from all before it."""
    recipe, plan, kit = parts(STUDIO)
    seen: set[Any] = set()
    differing = 0
    made = 0
    for seed in range(1, 401):
        try:
            task = kind("place").make(recipe, plan, kit, standard(), seed)
        except Unfit:
            continue
        made += 1
        ref = task.key["reference"]
        links = tuple(sorted(tuple(sorted(link)) for link in ref["links"]))
        differing += (ref["upper"], ref["lower"], links) not in seen
        seen.add((ref["upper"], ref["lower"], links))
        if made % 20 == 0:
            print(f"{differing} of {made} variations differ, after {seed} seeds", flush=True)
        if made == 200:
            break
    assert made == 200
    assert differing >= 100


@given(answer=like("stations"))
@settings(max_examples=50, deadline=None)
def test_whatever_comes_in_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(studio(), answer).credit <= 1.0


@pytest.mark.parametrize(
    "stations",
    [
        "none",
        [{"level": 9, "x": 0, "y": 0}],
        [{"level": 0, "x": float("nan"), "y": 0}],
        [{"level": 0, "x": 1e308, "y": 0}],
        [{"level": 0, "x": 0, "y": 0, "z": 1}],
        [{"level": 0, "x": 0, "y": 0}] * 61,
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(stations: Any) -> None:
    with pytest.raises(AnswerError, match="stations"):
        graded(studio(), {"stations": stations})
