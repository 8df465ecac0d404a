"""Races in a check, with real threads on real connections: one check, one case, one answer, one end."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from tests.trainer.drills.test_races import NOW, THREADS, at_once, send
from trainer.drills.check_case import CheckOver, give_case
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check
from trainer.drills.models import Answer, Check, CheckCase, CheckEnd, Entry

pytestmark = pytest.mark.django_db(transaction=True)
FIGURES = CheckFigures(81.0, 70.0, 90.0, 0.6, 1)


def test_many_taps_are_one_check_one_case_and_one_answer(stocked: Any, three: Any) -> None:
    checks = at_once(lambda number: open_check(three.insider, "rule-1", NOW))
    assert len({check.pk for check in checks}) == 1 == Check.objects.count()
    cases = at_once(lambda number: give_case(checks[0], "two-rooms-place", NOW))
    assert len({case.pk for case in cases}) == 1 == CheckCase.objects.count()
    key = uuid.uuid4()
    found = at_once(lambda number: send(cases[0], key, 1))
    assert len({one.grade.pk for one in found}) == 1 == Answer.objects.count()
    assert not Entry.objects.exists()


def test_an_answer_and_the_end_at_once_leave_it_counted_or_refused(stocked: Any, three: Any) -> None:
    check = open_check(three.insider, "rule-1", NOW)
    case = give_case(check, "two-rooms-place", NOW)

    def work(number: int) -> Any:
        return send(case, uuid.uuid4(), 1) if number % 2 else end_check(check, "given up", FIGURES, NOW)

    found = at_once(work)
    assert CheckEnd.objects.count() == 1
    taken = Answer.objects.count()
    assert taken <= 1
    assert Entry.objects.count() == taken, "what was taken counts, what came after the end does not"
    over = [one for one in found if isinstance(one, CheckOver)]
    assert taken or len(over) == THREADS // 2
