"""The ledger equals the projection: folded step by step or at once, with voids and erasures, to the last digit."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.drills.erase import erase
from trainer.drills.models import Attempt
from trainer.drills.void import void
from trainer.people.models import Membership, Person, Role
from trainer.progress.catch_up import catch_up, rebuild
from trainer.progress.models import Evidence, Record

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, tzinfo=UTC)

CREDITS = st.dictionaries(st.sampled_from(["D1", "D2", "E1"]), st.floats(0.0, 1.0), min_size=1)
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("grade"), st.integers(0, 1), CREDITS),
        st.tuples(st.just("void"), st.integers(0, 20), st.none()),
        st.tuples(st.just("fold"), st.none(), st.none()),
        st.tuples(st.just("erase"), st.integers(0, 1), st.none()),
    ),
    max_size=14,
)


def records() -> list[tuple[Any, ...]]:
    sums = Record.objects.order_by("person", "skill").values_list("person", "skill", "n", "credit_sum", "last_at")
    said = Evidence.objects.order_by("entry", "skill").values_list("person", "entry", "skill", "recipe", "credit", "at")
    return [*sums, *said]


def play(steps: list[Any], people: list[Any], graded_row: Callable[..., Any], trainer: Any) -> None:
    """Do these steps, leaving out those that cannot be done any more."""
    voided: set[Any] = set()
    attempts: list[Any] = []
    for what, which, credits in steps:
        if what == "fold":
            catch_up()
        elif what == "grade" and Person.objects.filter(pk=people[which].pk).exists():
            attempts.append(graded_row(people[which], credits))
        elif what == "erase" and (person := Person.objects.filter(pk=people[which].pk).first()):
            erase(person, NOW)
        elif what == "void" and which < len(attempts):
            attempt = Attempt.objects.get(pk=attempts[which].pk)
            if attempt.pk not in voided and attempt.person_id is not None:
                void(attempt, by=trainer, reason="a trial", now=NOW)
                voided.add(attempt.pk)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_folding_step_by_step_equals_a_rebuild(steps: list[Any], graded_row: Callable[..., Any], three: Any) -> None:
    with transaction.atomic():
        play(steps, [three.insider, three.mate], graded_row, three.trainer)
        catch_up()
        step_by_step = records()
        rebuild()
        rebuilt = records()
        transaction.set_rollback(True)
    assert rebuilt == step_by_step


def test_a_void_takes_the_evidence_out(graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"D1": 0.25, "D2": 1.0})
    spoilt = graded_row(three.insider, {"D1": 0.75})
    catch_up()
    assert Record.objects.get(skill="D1").mean_credit == 0.5
    void(spoilt, by=three.trainer, reason="the plan was wrong", now=NOW)
    catch_up()
    record = Record.objects.get(skill="D1")
    assert (record.n, record.credit_sum) == (1, 0.25)
    assert Record.objects.get(skill="D2").n == 1


def test_a_grade_stored_after_its_void_does_not_count(
    attempt_row: Callable[..., Any], graded_row: Callable[..., Any], three: Any
) -> None:
    from trainer.drills.ledger import enter

    attempt = graded_row(three.insider, {"D1": 0.5})
    void(attempt, by=three.trainer, reason="first", now=NOW)
    enter("grade", attempt, NOW)
    catch_up()
    assert records() == []


def test_there_is_nothing_to_fold_twice(graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"D1": 0.5})
    assert (catch_up(), catch_up()) == (1, 0)
    assert Record.objects.get().n == 1


def test_it_keeps_people_apart(graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"D1": 0.5})
    graded_row(three.mate, {"D1": 1.0})
    catch_up()
    assert Record.objects.get(person=three.insider).credit_sum == 0.5
    assert Record.objects.get(person=three.mate).credit_sum == 1.0


def test_a_person_with_two_teams_is_one_person(graded_row: Callable[..., Any], three: Any) -> None:
    team = three.outsider.memberships.get().team
    Membership.objects.create(person=three.insider, team=team, role=Role.OPERATOR)
    graded_row(three.insider, {"D1": 0.5})
    catch_up()
    assert Record.objects.count() == 1
