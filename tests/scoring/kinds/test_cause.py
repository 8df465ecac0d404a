"""Cause: the cause and its cue, half for the family, and words of this very case."""

from __future__ import annotations

import contextlib
import re
from itertools import combinations, product
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings

from scoring.drill import AnswerError
from scoring.frame.severity import judge
from scoring.kinds import cause
from scoring.kinds.case import placed_as_stored
from scoring.kinds.causes import CUES_OF, LOOKS, NOTHING, choice_of, family
from scoring.kinds.frame_both import goes_beside, look_both
from scoring.kinds.frame_case import SHOWS_AS
from scoring.kinds.frame_grade import asked, cues_for
from scoring.kinds.frame_key import known_json
from tests.scoring.kinds.looked_at import ALL_CODES, known, severity, task
from tests.scoring.kinds.shipped import graded, like, parts, standard, stored, tasks

OTHERS = cause.others_of(LOOKS["doubled"], "hazy")


def made(code: str, seed: int = 0, look: str = "doubled") -> Any:
    of = known(code, seed)
    options = LOOKS[look] if choice_of(code) in LOOKS[look] else (*LOOKS[look], code)  # type: ignore[index]
    return task("cause", {"choices": asked("What went wrong?", options, cues_for(options, of.cue))}, of=of)


def of_two(code: str, second: str | None, seed: int = 0) -> Any:
    """A case that asks what else is wrong: something of that code, or nothing."""
    of = known(code, seed)
    key = {"second": None if second is None else known_json(known(second, 10 * seed + int(code[1:])))}
    asks = asked("What went wrong?", LOOKS["doubled"], cues_for(LOOKS["doubled"], of.cue), OTHERS)
    return task("cause", {"choices": asks}, of=of, key=key)


def right(one: Any) -> dict[str, str]:
    answer = {"cause": choice_of(one.key["known"]["code"]), "cue": one.key["known"]["cue"]}
    if "second" in one.key:
        answer["second"] = one.key["second"]["code"] if one.key["second"] else NOTHING
    return answer


@pytest.mark.parametrize("code", ALL_CODES)
def test_the_right_cause_and_cue_earn_everything(code: str) -> None:
    assert severity(known(code)) == ("redo" if code.startswith("F") else "keep")
    grade = graded(made(code), right(made(code)))
    assert (grade.credit, grade.verdict) == (pytest.approx(1.0), "holds")


def test_credits_are_four_tenths_for_the_family_and_eight_for_the_cause() -> None:
    one = made("F1")
    assert family("F1") == family("F2")
    wrong_cue = CUES_OF["F16"][0]
    credits = [graded(one, {"cause": code, "cue": wrong_cue}).credit for code in ("F1", "F2", "F16")]
    assert credits == [pytest.approx(0.8), pytest.approx(0.4), pytest.approx(0.0)]
    assert graded(one, {"cause": "F2", "cue": one.key["known"]["cue"]}).credit == pytest.approx(0.6)


def test_of_a_tilt_it_says_where_uprights_lean_most() -> None:
    one = made("F4")
    toward = one.key["known"]["spots"][0]["azimuth_deg"]
    sides = re.search(r"uprights lean most at azimuth (\S+)° and (\S+)°", graded(one, right(one)).summary)
    assert sides is not None
    for said in sides.groups():
        apart = (float(said.replace("−", "-")) - toward) % 180.0
        assert apart == pytest.approx(90.0, abs=0.6)
    assert "uprights" not in graded(made("F1"), right(made("F1"))).summary


def test_a_false_alarm_costs_as_much_as_a_miss() -> None:
    miss = graded(made("F1"), {"cause": NOTHING, "cue": "clean"})
    alarm = graded(made("N0"), {"cause": "F1", "cue": "near-sideways"})
    assert (miss.credit, miss.verdict) == (alarm.credit, alarm.verdict) == (0.0, "fails")


@pytest.mark.parametrize("second", [None, "F10", "F12"])
def test_of_two_causes_the_second_earns_three_tenths(second: str | None) -> None:
    one = of_two("F1", second)
    best = right(one)
    other = {"F10": "F11", None: "F10", "F12": "F13"}[second]
    assert (graded(one, best).credit, graded(one, best).verdict) == (pytest.approx(1.0), "holds")
    off = graded(one, {**best, "second": other})
    assert (off.credit, off.verdict) == (pytest.approx(0.85 if second == "F10" else 0.7), "fails")
    assert graded(one, {**best, "cause": "F16"}).credit == pytest.approx(0.5)
    with pytest.raises(AnswerError):
        graded(one, {name: value for name, value in best.items() if name != "second"})


def test_both_causes_are_told_with_their_own_numbers_and_fixes() -> None:
    grade = graded(of_two("F1", "F10"), right(of_two("F1", "F10")))
    assert "a doubling of" in grade.summary
    assert "contrast lost to haze" in grade.summary
    assert {"fix", "fix-second", "number-doubling_deg", "number-veil_share"} <= {mark.criterion for mark in grade.marks}
    assert {spot.label for spot in grade.spots} == {"1", "2"}
    assert len(grade.spots) == 4


def test_a_second_fault_is_of_another_family_and_leaves_other_traces() -> None:
    assert set(OTHERS) == {"F10", "F11", "F12", "F13"}
    for code, other in product(OTHERS, LOOKS["doubled"]):
        if goes_beside(code, other):
            assert family(code) != family(other)
            assert not SHOWS_AS[code] & SHOWS_AS[other]


def test_no_two_cases_share_a_sentence() -> None:
    said: dict[tuple[str, int], set[str]] = {}
    for code in ALL_CODES:
        for seed in range(4):
            two = seed > 1 and choice_of(code) in LOOKS["doubled"]
            one = of_two(code, OTHERS[seed] if code in ("F1", "F2") else None, seed) if two else made(code, seed)
            options = [value for value, _ in one.public["asks"]["choices"][0]["options"]]
            answer = {"cause": "F1" if "F1" in options else options[0], "cue": "clean"}
            answer |= {"second": "F13"} if two else {}
            grade = graded(one, answer)
            text = " ".join([grade.summary, *(f"{mark.words} {mark.mend}" for mark in grade.marks)])
            said[code, seed] = {part for part in re.split(r"(?<=[.?!])\s+", text) if part}
    for (first, mine), (second, theirs) in combinations(said.items(), 2):
        assert not mine & theirs, f"{first} and {second} share {mine & theirs}"


def test_every_mark_says_a_number_or_a_place_of_its_case() -> None:
    for code in ALL_CODES:
        grade = graded(made(code), right(made(code)))
        room = made(code).key["known"]["room"]
        for mark in grade.marks:
            assert re.search(r"\d", mark.words) or room in mark.words, mark.words


def test_the_blind_strategy_earns_what_the_floor_says() -> None:
    options = LOOKS["doubled"]
    assert cause.blind_credit(options, 0.25, 8) == pytest.approx(0.8 * 0.25 + 0.2 * 0.25)
    assert cause.blind_credit(options, 0.0, 8) > 0.8 / 8
    two = cause.blind_credit(options, 0.25, 8, OTHERS)
    assert two == pytest.approx(0.5 * 0.25 + 0.2 * 0.25 + 0.3 * (0.25 + 0.75 * 0.5))


@settings(max_examples=80, deadline=None)
@given(like("cause", "cue"))
def test_any_json_is_graded_or_refused_in_words(answer: Any) -> None:
    with contextlib.suppress(AnswerError):
        assert 0.0 <= graded(made("F2"), answer).credit <= 1.0


def test_a_shipped_recipe_makes_a_fair_case_that_grades_the_same_when_stored() -> None:
    (one,) = tasks("cause-hazy-flat", 1)
    grade = graded(one, right(one))
    assert grade.credit == pytest.approx(1.0)
    assert graded(stored(one), right(one)) == grade
    assert one.guess_floor < 0.5
    assert {"frame", "clean"} == set(one.key["takes"])
    assert one.key["takes"]["clean"]["faults"] == []
    code = one.key["known"]["code"]
    assert code in LOOKS["hazy"] or code in ("N0", "N1")
    assert standard().version == one.standard
    assert "faults" not in str(one.public)


def test_the_shipped_recipe_of_two_things_makes_a_frame_in_which_both_deserve_a_redo() -> None:
    recipe, plan, kit = parts("cause-two-things-flat")
    place, rng = placed_as_stored(plan, kit, standard()), Random("t1")
    both = look_both(place, rng, "F2", ["F12"])
    numbers = both.seen.measured.numbers
    assert {fault.code for fault in both.seen.take.faults} == {"F2", "F12"}
    assert [judge(numbers, standard().frames).of(name).verdict for name in ("doubling_deg", "veil_share")] == [
        "redo"
    ] * 2
    assert (both.seen.known.code, both.second.code) == ("F2", "F12")
    assert both.seen.known.numbers.veil_share is None
    assert both.second.numbers.doubling_deg is None
    assert recipe.settings["beside"] == "hazy"
