"""Change: what the second spin proves of the first, and the cause behind it."""

from __future__ import annotations

import contextlib
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.kinds.causes import CAUSES, LOOKS, family
from scoring.kinds.change import CHANGES, PROVED, blind_credit, possible
from scoring.kinds.frame_key import known_json
from scoring.kinds.frame_words import small
from tests.scoring.kinds.looked_at import known, signed, task
from tests.scoring.kinds.shipped import graded, like

OPTIONS = [code for code in LOOKS["doubled"] if code in CHANGES]
ASKS = {
    "choices": [
        {"name": "proved", "legend": "What did it prove?", "options": [list(one) for one in PROVED.items()]},
        {"name": "cause", "legend": "Of what?", "options": [[code, CAUSES[code].title] for code in OPTIONS]},
    ]
}


def made(proved: str, code: str = "F1", changed: str = "F1", left: str = "N0") -> Any:
    key = {"proved": proved, "changed": changed, "after": known_json(known(left, frame="after"))}
    return task("change", ASKS, of=known(code, frame="before"), key=key, skills=("V3", "V4"))


CASES = [made("cured"), made("other", changed="F7", left="F1"), made("second", left="F6")]


@pytest.mark.parametrize("one", CASES, ids=list(PROVED))
def test_what_was_proved_and_the_cause_earn_everything(one: Any) -> None:
    grade = graded(one, {"proved": one.key["proved"], "cause": "F1"})
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


@pytest.mark.parametrize("one", CASES, ids=list(PROVED))
def test_the_wrong_conclusion_fails_whatever_the_cause(one: Any) -> None:
    wrong = next(said for said in PROVED if said != one.key["proved"])
    grade = graded(one, {"proved": wrong, "cause": "F1"})
    assert (grade.credit, grade.verdict) == (pytest.approx(0.4), "fails")
    assert grade.marks[0].mend


def test_it_tells_every_seam_before_and_after_worst_first() -> None:
    before, after = signed(known("F1", 1, "before"), 1), signed(known("N0", 1, "after"), 1)
    key = {"proved": "cured", "changed": "F1", "after": known_json(after)}
    grade = graded(task("change", ASKS, of=before, key=key), {"proved": "cured", "cause": "F1"})
    words = next(mark.words for mark in grade.marks if mark.criterion == "seams")
    told = re.findall(r"([\d.]+)° on an edge [\d.]+ m away before and ([\d.]+)° on an edge", words)
    rows = sorted(zip(before.seams, after.seams, strict=True), key=lambda pair: -(pair[0].doubling_deg or 0.0))
    assert told == [tuple(f"{seam.doubling_deg:.2f}" for seam in pair) for pair in rows]


@pytest.mark.parametrize(("proved", "which"), [("cured", "first"), ("other", "first"), ("second", "second")])
def test_it_says_how_to_see_the_spin_with_one_fault_alone(proved: str, which: str) -> None:
    before, after = signed(known("F1", 1, "before"), 1), signed(known("F7", 1, "after"), 1)
    one = task("change", ASKS, of=before, key={"proved": proved, "changed": "F1", "after": known_json(after)})
    marks = {mark.title: mark for mark in graded(one, {"proved": proved, "cause": "F1"}).marks}
    law = marks[f"Near and far at the seams, {which} spin"].words
    assert ("the nearer a thing stands" in law) == (which == "first")
    assert ("far things are off as much" in law) == (which == "second")


def test_a_second_fault_is_named_with_its_own_first_fix() -> None:
    marks = graded(CASES[2], {"proved": "second", "cause": "F1"}).marks
    assert f"what is left is “{small(CAUSES['F6'].title)}”" in marks[0].words
    fixes = {mark.criterion: mark.words for mark in marks if mark.criterion.startswith("fix")}
    assert set(fixes) == {"fix", "fix-second"}
    assert "shut every lock" in fixes["fix-second"]
    assert [mark.criterion for mark in graded(CASES[0], {"proved": "cured", "cause": "F1"}).marks].count("fix") == 1


def test_what_decided_in_the_first_spin_is_told_of_the_second_too() -> None:
    before, after = signed(known("F1", 1, "before"), 1), signed(known("N0", 1, "after"), 1)
    after = replace(after, numbers=replace(after.numbers, doubling_deg=0.07, shadow_ratio=1.6))
    key = {"proved": "cured", "changed": "F1", "after": known_json(after)}
    marks = graded(task("change", ASKS, of=before, key=key), {"proved": "cured", "cause": "F1"}).marks
    assert "0.07° after" in marks[0].words
    assert [mark.value for mark in marks if mark.title == "Second spin: doubling at a seam"] == [0.07]


def test_a_cause_of_the_same_family_earns_half_of_the_cause() -> None:
    assert graded(CASES[0], {"proved": "cured", "cause": "F2"}).credit == pytest.approx(0.8)


def test_evidence_on_deciding_comes_from_what_was_proved() -> None:
    grade = graded(CASES[0], {"proved": "cured", "cause": "F6"})
    assert {e.skill: e.credit for e in grade.evidence} == {"V3": pytest.approx(0.6), "V4": pytest.approx(1.0)}


def test_every_change_is_for_a_cause_that_can_be_named() -> None:
    assert set(CHANGES) <= set(CAUSES)
    assert all(any(code in look for look in LOOKS.values()) for code in CHANGES)


@pytest.mark.parametrize("look", LOOKS)
def test_who_does_not_look_earns_what_the_floor_says(look: str) -> None:
    """Every case that can be drawn, answered by the cause that the change was for."""
    options = [code for code in LOOKS[look] if code in CHANGES]  # type: ignore[index]
    credits: dict[str, list[float]] = {"cured": [], "other": [], "second": []}
    for code in options:
        for changed in options:
            proved = ["cured", "second"] if changed == code else ["other"]
            for one in proved:
                half = 0.5 if family(code) == family(changed) else 0.0
                credits[one].append(1.0 if code == changed else half)
    found = possible(options)
    cause = sum(sum(credits[one]) / len(credits[one]) for one in found) / len(found)
    whole, by_skill = blind_credit(options)
    assert whole == pytest.approx(0.6 / len(found) + 0.4 * cause)
    assert by_skill == {"V4": pytest.approx(1.0 / len(found))}


@settings(max_examples=60, deadline=None)
@given(like("proved", "cause"))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(CASES[1], answer).credit <= 1.0
