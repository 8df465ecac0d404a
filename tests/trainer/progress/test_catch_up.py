"""The ledger equals the projection: folded step by step or at once, with voids and erasures, to the last digit."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.drills.erase import erase
from trainer.drills.models import Attempt
from trainer.drills.void import void
from trainer.library.rules import SITE_RULE
from trainer.people.models import Membership, Person, Role
from trainer.progress.catch_up import catch_up, rebuild
from trainer.progress.life import ground
from trainer.progress.models import Evidence, Judgement, Record, Standing
from trainer.progress.renew import fresh
from trainer.roster.models import KitChange, KitCheck, ObservedShoot, Struck

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, tzinfo=UTC)

CREDITS = st.dictionaries(st.sampled_from(["A2", "D1", "D2", "E1"]), st.sampled_from([0.0, 0.25, 0.7, 1.0]), min_size=1)
DAYS = st.integers(0, 300)
NONE = st.none()
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("grade"), st.integers(0, 1), CREDITS, DAYS),
        st.tuples(st.just("judge"), st.integers(0, 1), st.booleans(), DAYS),
        st.tuples(st.just("void"), st.integers(0, 20), NONE, DAYS),
        st.tuples(st.just("shoot"), st.integers(0, 1), st.booleans(), DAYS),
        st.tuples(st.just("strike"), st.integers(0, 20), NONE, DAYS),
        st.tuples(st.just("kit"), st.integers(0, 1), st.sampled_from([[], ["rotator"]]), DAYS),
        st.tuples(st.just("list"), st.integers(0, 1), NONE, DAYS),
        st.tuples(st.just("fold"), NONE, NONE, NONE),
        st.tuples(st.just("erase"), st.integers(0, 1), NONE, NONE),
    ),
    max_size=16,
)


def everybody() -> dict[Any, Standing]:
    return fresh(Person.objects.all(), NOW.date())


def records() -> list[tuple[Any, ...]]:
    fields = [column.attname for column in Record._meta.concrete_fields if column.attname != "id"]
    sums = Record.objects.order_by("person", "skill").values_list(*fields)
    said = Evidence.objects.order_by("entry", "skill").values_list("person", "entry", "skill", "recipe", "credit", "at")
    judged = Judgement.objects.order_by("entry").values_list("person", "entry", "faulty", "redone", "at")
    return [*sums, *said, *judged]


def standings() -> list[tuple[Any, ...]]:
    """Every column of every standing, renewed."""
    everybody()
    return list(Standing.objects.order_by("person").values_list())


def play(steps: list[Any], people: list[Any], graded_row: Callable[..., Any], trainer: Any) -> None:
    """Do these steps in their order, leaving out those that cannot be done any more; days never go back."""
    voided: set[Any] = set()
    attempts: list[Any] = []
    shoots: list[Any] = []
    now = NOW
    for what, which, more, days in steps:
        now += timedelta(days=(days or 0) % 40, minutes=1)
        there = isinstance(which, int) and which < 2 and Person.objects.filter(pk=people[which].pk).exists()
        if what == "fold":
            catch_up()
            everybody()
        elif what == "grade" and there:
            attempts.append(graded_row(people[which], more, at=now))
        elif what == "judge" and there:
            said = {"verdict": "redo" if more else "keep"}
            attempts.append(graded_row(people[which], {"V1": 1.0}, at=now, kind="verdict", answer=said))
        elif what == "shoot" and there:
            shoots.append(shoot_of(people[which], trainer, now, signed=more))
        elif what == "strike" and which < len(shoots) and ObservedShoot.objects.filter(pk=shoots[which].pk).exists():
            Struck.objects.get_or_create(shoot=shoots[which], defaults={"reason": "in error", "made_at": now})
        elif what == "kit" and there:
            KitChange.objects.create(person=people[which], kit="a-kit", parts=more, made_at=now)
        elif what == "list" and there:
            change = KitChange.objects.filter(person=people[which]).last()
            if change is not None:
                KitCheck.objects.get_or_create(change=change, defaults={"made_at": now})
        elif what == "erase" and there:
            erase(Person.objects.get(pk=people[which].pk), now)
        elif what == "void" and which < len(attempts):
            attempt = Attempt.objects.get(pk=attempts[which].pk)
            if attempt.pk not in voided and attempt.person_id is not None:
                void(attempt, by=trainer, reason="a trial", now=now)
                voided.add(attempt.pk)


def shoot_of(person: Any, trainer: Any, now: datetime, *, signed: bool = True) -> ObservedShoot:
    seen = {star.code: "done" for star in ground(SITE_RULE).stars}
    return ObservedShoot.objects.create(
        person=person, by=trainer, shot_on=now.date(), seen=seen, signed=signed, client_key=uuid.uuid4(), made_at=now
    )


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_folding_step_by_step_equals_a_rebuild(steps: list[Any], graded_row: Callable[..., Any], three: Any) -> None:
    with transaction.atomic():
        play(steps, [three.insider, three.mate], graded_row, three.trainer)
        catch_up()
        step_by_step = (records(), standings())
        rebuild()
        rebuilt = (records(), standings())
        transaction.set_rollback(True)
    assert rebuilt == step_by_step


def test_states_that_come_and_go_are_the_same_after_a_rebuild(graded_row: Callable[..., Any], three: Any) -> None:
    """Somebody who becomes ready, sinks and comes back: every step renewed alone, and all at once."""
    skills = [star.code for star in ground(SITE_RULE).drilled]
    shoot_of(three.insider, three.trainer, NOW)
    seen = []
    for day in (0, 0, 1, 2, 3, 4, 5, 6, 130, 131, 400, 401, 402):
        for skill in skills:
            graded_row(three.insider, {skill: 1.0}, at=NOW + timedelta(days=day, hours=2))
        catch_up()
        seen.append(fresh(Person.objects.filter(pk=three.insider.pk), NOW.date())[three.insider.pk].state)
    step_by_step = standings()
    rebuild()
    assert standings() == step_by_step
    assert seen[0] == "in training"
    assert "ready" in seen
    row = Standing.objects.get(person=three.insider)
    assert row.due_on is not None
    assert date(2027, 4, 8) < row.due_on <= date(2027, 7, 8)
    assert row.lapsed_on is not None
    assert row.lapsed_on > row.due_on


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
