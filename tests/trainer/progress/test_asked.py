"""What others asked of a person, and how much of it the ledger says is done."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from trainer.drills.ledger import enter
from trainer.drills.models import Entry, Void
from trainer.people.models import Team
from trainer.progress.asked import asked_of
from trainer.progress.catch_up import catch_up
from trainer.roster.models import Assignment, Plan, Refresher, RefresherEnd, Withdrawal

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def given(three: Any) -> Callable[..., Assignment]:
    def make(person: Any, **fields: Any) -> Assignment:
        row = {"recipe": "a-recipe", "count": 2, "words": "before Monday", "made_at": NOW, **fields}
        return Assignment.objects.create(person=person, by=three.trainer, **row)

    return make


@pytest.fixture
def planned(three: Any) -> Callable[..., Plan]:
    def make(person: Any, wanted: dict[str, int], ready_on: date = date(2026, 4, 1)) -> Plan:
        refresher = Refresher.objects.create(
            team=Team.objects.get(name="North"), by=three.trainer, ready_on=ready_on, title="Season", made_at=NOW
        )
        return Plan.objects.create(
            refresher=refresher, person=person, wanted=wanted, minutes=5, chance=0.4, made_at=NOW
        )

    return make


def test_an_assignment_is_done_case_by_case_from_its_moment_on(
    given: Callable[..., Any], graded_row: Callable[..., Any], three: Any
) -> None:
    given(three.insider, due_on=date(2026, 3, 4))
    graded_row(three.insider, {"D1": 1.0}, at=NOW - HOUR)
    graded_row(three.insider, {"D1": 1.0}, at=NOW + HOUR, recipe="another")
    graded_row(three.insider, {"D1": 1.0}, at=NOW + HOUR, mode="check")
    graded_row(three.mate, {"D1": 1.0}, at=NOW + HOUR)
    (before,) = asked_of(three.insider, NOW + 2 * HOUR)
    assert (before.recipe, before.asked, before.done, before.left) == ("a-recipe", 2, 0, 2)
    assert (before.by, before.words) == ("Trainer", "before Monday")
    for hours in (3, 4, 5):
        graded_row(three.insider, {"D1": 0.2}, at=NOW + hours * HOUR)
    (after,) = asked_of(three.insider, NOW + 3 * HOUR)
    assert (after.done, after.late(date(2026, 3, 4)), after.late(date(2026, 3, 5))) == (1, False, True)
    (full,) = asked_of(three.insider, NOW + 9 * HOUR)
    assert (full.done, full.left, full.late(date(2026, 3, 5))) == (2, 0, False)
    assert asked_of(three.mate, NOW + 9 * HOUR) == []


def test_what_was_withdrawn_or_is_void_counts_no_more(
    given: Callable[..., Any], graded_row: Callable[..., Any], three: Any
) -> None:
    taken_back = given(three.insider)
    Withdrawal.objects.create(assignment=taken_back, by=three.trainer, made_at=NOW)
    stands = given(three.insider)
    attempt = graded_row(three.insider, {"D1": 1.0}, at=NOW + HOUR)
    assert [(one.id, one.done) for one in asked_of(three.insider, NOW + HOUR)] == [(stands.pk, 1)]
    Void.objects.create(attempt=attempt, by=three.trainer, reason="no fair case", made_at=NOW + HOUR)
    assert [one.done for one in asked_of(three.insider, NOW + HOUR)] == [0]


def test_a_plan_asks_for_skills_whichever_drill_practises_them(
    planned: Callable[..., Any], graded_row: Callable[..., Any], three: Any
) -> None:
    plan = planned(three.insider, {"V1": 2, "A2": 1})
    graded_row(three.insider, {"V1": 1.0, "V3": 1.0}, at=NOW + HOUR, recipe="any")
    voided = graded_row(three.insider, {"A2": 1.0}, at=NOW + HOUR)
    catch_up()
    found = asked_of(three.insider, NOW + 2 * HOUR)
    assert [(one.skill, one.title, one.done, one.asked) for one in found] == [
        ("V1", "Look it over on site", 1, 2),
        ("A2", "Level it", 1, 1),
    ]
    assert {(one.words, one.due_on, one.id) for one in found} == {("Season", date(2026, 4, 1), plan.refresher_id)}
    Void.objects.create(attempt=voided, by=three.trainer, reason="no fair case", made_at=NOW + HOUR)
    enter(Entry.What.VOID, voided, NOW + HOUR)
    catch_up()
    assert {one.skill: one.done for one in asked_of(three.insider, NOW + 2 * HOUR)} == {"V1": 1, "A2": 0}


def test_a_plan_is_gone_when_its_refresher_ends_or_its_day_is_over(planned: Callable[..., Any], three: Any) -> None:
    plan = planned(three.insider, {"V1": 2})
    assert len(asked_of(three.insider, datetime(2026, 4, 1, 23, tzinfo=UTC))) == 1
    assert asked_of(three.insider, datetime(2026, 4, 2, tzinfo=UTC)) == []
    RefresherEnd.objects.create(refresher=plan.refresher, by=three.trainer, made_at=NOW)
    assert asked_of(three.insider, NOW) == []


def test_what_is_left_comes_first_by_its_day(
    given: Callable[..., Any], planned: Callable[..., Any], graded_row: Callable[..., Any], three: Any
) -> None:
    given(three.insider, recipe="done", count=1, due_on=date(2026, 3, 3))
    given(three.insider, recipe="some-day")
    given(three.insider, recipe="soon", due_on=date(2026, 3, 20))
    planned(three.insider, {"V1": 2})
    graded_row(three.insider, {"D1": 1.0}, at=NOW + HOUR, recipe="done")
    assert [one.recipe or one.skill for one in asked_of(three.insider, NOW + HOUR)] == [
        "soon", "V1", "some-day", "done",
    ]  # fmt: skip
