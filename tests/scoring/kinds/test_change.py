"""Change: what the second spin proves of the first, and the cause behind it."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.kinds.causes import CAUSES, LOOKS, family
from scoring.kinds.change import CHANGES, PROVED, blind_credit, possible
from scoring.kinds.frame_key import known_json
from tests.scoring.kinds.looked_at import known, task
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
