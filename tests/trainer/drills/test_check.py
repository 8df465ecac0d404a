"""The verbs of a readiness check: one at a time, one case open at a time, answered once, in the ledger when it ends."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from trainer.drills.answer import AlreadyAnswered, answer
from trainer.drills.check_beside import TooLate, bear_witness, sit_beside, supervised
from trainer.drills.check_case import CheckOver, answered_cases, give_case, open_case_of
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import REST_DAYS, TooSoon, open_check
from trainer.drills.issue import CheckGoesOn, issue
from trainer.drills.models import Attempt, Check, CheckWitness, Entry
from trainer.drills.reading import explained, is_explained, read_by, unanswered

pytestmark = pytest.mark.django_db
RECIPE = "two-rooms-place"
FIGURES = CheckFigures(81.0, 70.0, 90.0, 0.6, 1)


def said(attempt: Attempt, now: datetime, key: uuid.UUID | None = None) -> Any:
    stations = attempt.key["reference"]["stations"]
    body = {"stations": [{"level": level, "x": x, "y": y} for level, x, y in stations]}
    return answer(attempt, client_key=key or uuid.uuid4(), body=body, sureness=2, answered_at=now, now=now)


@pytest.fixture
def now(issued_at: datetime) -> datetime:
    return issued_at


@pytest.fixture
def issued_at(stocked: Any) -> datetime:
    from tests.trainer.conftest import FIRST

    return FIRST


@pytest.fixture
def check(three: Any, now: datetime) -> Check:
    return open_check(three.insider, "rule-1", now)


def test_it_is_one_at_a_time_for_a_person(check: Check, three: Any, now: datetime) -> None:
    assert open_check(three.insider, "rule-1", now) == check
    assert open_check(three.mate, "rule-1", now) != check
    assert Check.objects.count() == 2


def test_the_next_one_waits_some_days_after_the_end(check: Check, three: Any, now: datetime) -> None:
    end_check(check, "given up", FIGURES, now)
    with pytest.raises(TooSoon, match="8 March 2026"):
        open_check(three.insider, "rule-1", now + timedelta(days=REST_DAYS, seconds=-1))
    assert open_check(three.insider, "rule-1", now + timedelta(days=REST_DAYS)) != check


def test_two_taps_give_one_case(check: Check, now: datetime) -> None:
    first = give_case(check, RECIPE, now)
    assert give_case(check, RECIPE, now) == first
    assert (first.mode, first.check_case.place, open_case_of(check)) == ("check", 1, first)
    said(first, now)
    second = give_case(check, RECIPE, now)
    assert (second.check_case.place, second != first) == (2, True)


def test_an_answer_counts_once_and_another_device_finds_it_taken(check: Check, now: datetime) -> None:
    case, key = give_case(check, RECIPE, now), uuid.uuid4()
    first = said(case, now, key)
    assert said(case, now, key).repeat
    with pytest.raises(AlreadyAnswered):
        said(case, now)
    assert answered_cases(check) == [first.grade.answer.attempt]


def test_nothing_enters_the_ledger_before_the_end_and_everything_then_in_order(check: Check, now: datetime) -> None:
    cases = []
    for _ in range(2):
        cases.append(give_case(check, RECIPE, now))
        said(cases[-1], now)
    assert not Entry.objects.exists()
    assert not any(is_explained(case) for case in cases)
    end = end_check(check, "ready", FIGURES, now)
    assert [entry.attempt for entry in Entry.objects.order_by("pk")] == cases
    assert all(is_explained(case) for case in cases)
    assert end_check(check, "not ready", FIGURES, now) == end, "the first end stands"
    assert Entry.objects.count() == 2


def test_a_case_left_open_takes_no_answer_after_the_end(check: Check, three: Any, now: datetime) -> None:
    case = give_case(check, RECIPE, now)
    assert case in unanswered(three.insider)
    end_check(check, "given up", FIGURES, now)
    with pytest.raises(CheckOver):
        said(case, now)
    with pytest.raises(CheckOver):
        give_case(check, RECIPE, now)
    assert case not in unanswered(three.insider)
    later = open_check(three.insider, "rule-1", now + timedelta(days=REST_DAYS))
    assert give_case(later, RECIPE, now) != case, "a new check has new cases"


def test_practice_waits_while_a_check_is_open(check: Check, three: Any, now: datetime) -> None:
    with pytest.raises(CheckGoesOn):
        issue(three.insider, RECIPE, "drill", now)
    assert issue(three.mate, RECIPE, "drill", now).fresh
    end_check(check, "given up", FIGURES, now)
    assert issue(three.insider, RECIPE, "drill", now).fresh


def test_who_follows_reads_its_cases_when_it_is_over(check: Check, three: Any, now: datetime) -> None:
    case = give_case(check, RECIPE, now)
    said(case, now)
    assert case in read_by(three.insider)
    assert case not in read_by(three.trainer)
    assert case not in explained(Attempt.objects.all())
    end_check(check, "given up", FIGURES, now)
    assert case in read_by(three.trainer)
    assert case in explained(Attempt.objects.all())
    assert case not in read_by(three.outsider)


def test_it_is_supervised_when_a_trainer_said_so_before_and_after(check: Check, three: Any, now: datetime) -> None:
    sit_beside(check, by=three.trainer, now=now)
    case = give_case(check, RECIPE, now)
    said(case, now)
    check.refresh_from_db()
    with pytest.raises(TooLate, match="goes on"):
        bear_witness(check, by=three.trainer, alone=True, now=now)
    end_check(check, "ready", FIGURES, now)
    check = Check.objects.get()
    assert not supervised(check)
    bear_witness(check, by=three.trainer, alone=True, now=now)
    bear_witness(check, by=three.trainer, alone=False, now=now)
    assert supervised(check), "the first word stands"
    assert CheckWitness.objects.count() == 1


def test_nobody_sits_beside_after_the_first_answer(check: Check, three: Any, now: datetime) -> None:
    said(give_case(check, RECIPE, now), now)
    with pytest.raises(TooLate, match="first case"):
        sit_beside(check, by=three.trainer, now=now)


@pytest.mark.parametrize("who", ["insider", "mate", "outsider"])
def test_only_a_trainer_of_the_team_sits_beside(who: str, check: Check, three: Any, now: datetime) -> None:
    with pytest.raises(PermissionDenied):
        sit_beside(check, by=getattr(three, who), now=now)


def test_who_did_not_sit_beside_says_nothing_at_the_end(check: Check, three: Any, now: datetime) -> None:
    end_check(check, "ready", FIGURES, now)
    with pytest.raises(PermissionDenied):
        bear_witness(Check.objects.get(), by=three.trainer, alone=True, now=now)
    assert not supervised(check)
