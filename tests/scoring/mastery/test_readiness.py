"""The rule for being sent out alone: everything at once to enter, lower limits to leave, and what is missing said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scoring.mastery.calibration import calibrate
from scoring.mastery.readiness import Facts, Rule, SkillFacts, State, ends, gaps, readiness

RULE = Rule(version="t")
GOOD = Facts(
    day=100.0,
    answered_count=60,
    newest_day=99.0,
    overall_chance=0.93,
    overall_points=86.0,
    stars={code: SkillFacts(5, 95.0, 0.8) for code in ("A2", "B1", "D2")},
    good_frames_count=10,
    false_alarm_count=2,
    conduct={"G1": 5, "G2": 5},
    shoot_signed=True,
)


def missing(facts: Facts) -> list[str]:
    return [gap.what for gap in gaps(facts, RULE)]


def test_somebody_with_everything_is_ready() -> None:
    assert readiness(GOOD, RULE, "in training").state == "ready"
    assert missing(GOOD) == []


def star(**changes: float) -> dict[str, SkillFacts]:
    return {**GOOD.stars, "B1": replace(GOOD.stars["B1"], **changes)}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"overall_chance": 0.89}, "overall"),
        ({"stars": star(count=4)}, "star-count"),
        ({"stars": star(newest_day=5.0)}, "star-old"),
        ({"stars": star(chance=0.10)}, "star-not-ready"),
        ({"false_alarm_count": 3}, "false-alarms"),
        ({"conduct": {"G1": 5, "G2": 4}}, "conduct"),
        ({"shoot_signed": False}, "shoot"),
        ({"kit_list_open": True}, "kit-list"),
    ],
)
def test_each_part_of_the_rule_keeps_somebody_in_training_and_is_named(change: dict[str, object], what: str) -> None:
    facts = replace(GOOD, **change)  # type: ignore[arg-type]
    found = readiness(facts, RULE, "in training")
    assert found.state == "in training"
    assert [gap.what for gap in found.gaps] == [what]


def test_nobody_flickers_between_entering_and_leaving() -> None:
    states = []
    state = "in training"
    for chance in (0.88, 0.91, 0.85, 0.71, 0.69, 0.80, 0.89, 0.91, 0.49, 0.89, 0.92):
        state = readiness(replace(GOOD, overall_chance=chance), RULE, state).state  # type: ignore[arg-type]
        states.append(state)
    assert states == [
        "in training", "ready", "ready", "ready", "due", "due", "due", "ready", "lapsed", "lapsed", "ready",
    ]  # fmt: skip


@pytest.mark.parametrize(("idle", "state"), [(90.0, "ready"), (91.0, "due"), (181.0, "lapsed")])
def test_idle_days_make_somebody_due_and_then_lapsed(idle: float, state: str) -> None:
    old = {code: SkillFacts(5, 100.0 - idle, 0.8) for code in GOOD.stars}
    facts = replace(GOOD, newest_day=100.0 - idle, stars=old, overall_chance=0.75)
    assert readiness(facts, RULE, "ready").state == state


@pytest.mark.parametrize(
    ("before", "idle", "state"),
    [
        ("ready", 90.0, "ready"), ("ready", 91.0, "due"), ("due", 91.0, "due"), ("ready", 181.0, "lapsed"),
        ("in training", 91.0, "in training"),
    ],
)  # fmt: skip
def test_idle_days_count_though_the_rule_lets_the_starred_skills_grow_older(
    before: State, idle: float, state: State
) -> None:
    patient = Rule(version="t", star_newest_days=365.0)
    found = readiness(replace(GOOD, newest_day=100.0 - idle), patient, before)
    assert (found.state, found.gaps) == (state, ())


@pytest.mark.parametrize(
    ("change", "due", "lapsed"),
    [
        ({"overall_chance": 0.70}, [], []),
        ({"overall_chance": 0.69}, [("overall", 0.69, 0.70)], []),
        ({"overall_chance": 0.49}, [("overall", 0.49, 0.70)], [("overall", 0.49, 0.50)]),
        ({"newest_day": 9.0}, [("idle", 91.0, 90.0)], []),
        ({"newest_day": -81.0}, [("idle", 181.0, 90.0)], [("idle", 181.0, 180.0)]),
        ({"false_alarm_count": 3}, [("false-alarms", 3, 2)], []),
        ({"stars": star(newest_day=5.0)}, [], []),
        ({"stars": star(chance=0.08)}, [("star-not-ready", 0.08, 0.10)], []),
    ],
)
def test_what_ends_ready_is_named_with_its_limit_and_nothing_else_is(
    change: dict[str, object], due: list[object], lapsed: list[object]
) -> None:
    facts = replace(GOOD, **change)  # type: ignore[arg-type]
    assert [(gap.what, gap.found, gap.asked) for gap in ends(facts, RULE, "due")] == due
    assert [(gap.what, gap.found, gap.asked) for gap in ends(facts, RULE, "lapsed")] == lapsed
    state = readiness(facts, RULE, "ready").state
    assert state == ("lapsed" if lapsed else "due" if due else "ready")


def test_nobody_is_ready_untried_and_a_hold_stands_over_everything() -> None:
    assert readiness(replace(GOOD, answered_count=0), RULE, "untried").state == "untried"
    assert readiness(replace(GOOD, held=True), RULE, "ready").state == "held"


def test_somebody_ready_who_starts_to_redo_good_frames_is_due() -> None:
    assert readiness(replace(GOOD, false_alarm_count=4), RULE, "ready").state == "due"


def test_brier_score_of_a_constant_half_is_a_quarter() -> None:
    rows = [(2, 1.0), (2, 0.0)] * 5
    assert calibrate(rows, (0.5, 0.5, 0.5)).brier == pytest.approx(0.25)


def test_being_surer_than_right_shows() -> None:
    found = calibrate([(3, 0.0)] * 5 + [(3, 1.0)] * 5 + [(1, 1.0)], (0.4, 0.7, 0.95))
    assert found.lean > 0.0
    assert [(step.count, step.right) for step in found.steps] == [(1, 1), (0, 0), (10, 5)]
    assert found.steps[2].low_share < 0.5 < found.steps[2].high_share < found.steps[2].stated_share
    with pytest.raises(ValueError, match="steps 1 to 3"):
        calibrate([(4, 1.0)], (0.4, 0.7, 0.95))
