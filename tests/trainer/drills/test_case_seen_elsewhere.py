"""Who leads and practises too is given no case whose grade one may read, and reads no grade of a case that waits."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.trainer.conftest import CANARY, FIRST
from trainer.drills.answer import answer
from trainer.drills.check_case import give_case
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check
from trainer.drills.flag import flag
from trainer.drills.issue import issue
from trainer.drills.models import Attempt
from trainer.people.models import Membership, Role

pytestmark = pytest.mark.django_db
RECIPE = "two-rooms-place"


@pytest.fixture
def both(three: Any) -> Any:
    """The trainer works as an operator of the team too."""
    Membership.objects.create(person=three.trainer, team=three.insider.memberships.get().team, role=Role.OPERATOR)
    return three.trainer


@pytest.fixture
def client(both: Any) -> Client:
    made = Client()
    made.force_login(both)
    return made


def answered(attempt: Attempt) -> Attempt:
    answer(attempt, client_key=uuid.uuid4(), body={"stations": []}, sureness=1, answered_at=FIRST, now=FIRST)
    return Attempt.objects.get(pk=attempt.pk)


@pytest.mark.parametrize("mode", ["drill", "check"])
def test_a_case_that_one_could_read_is_not_given(mode: str, issued: Attempt, both: Any, three: Any) -> None:
    answered(issued)
    assert issue(both, RECIPE, mode, FIRST).attempt.fingerprint != issued.fingerprint
    assert issue(three.mate, RECIPE, mode, FIRST).attempt.fingerprint == issued.fingerprint, "a mate reads nobody's"


def test_the_grade_of_the_case_that_waits_for_oneself_is_read_after_it(
    issued: Attempt, both: Any, client: Client
) -> None:
    own = issue(both, RECIPE, "drill", FIRST).attempt
    assert own.fingerprint == issued.fingerprint
    theirs = answered(issued)
    flagged = flag(theirs, by=theirs.person, words="The door is drawn wrongly.", now=FIRST)  # type: ignore[arg-type]
    page = client.get(reverse("graded", args=[theirs.pk]))
    assert page.url == reverse("attempt", args=[own.pk])  # type: ignore[attr-defined]
    assert "Answer it first" in client.get(page.url).content.decode()  # type: ignore[attr-defined]
    hidden = [reverse("look_round", args=[theirs.pk])]
    hidden += [reverse(name, args=[flagged.pk]) for name in ("flagged", "fault_report")]
    assert [client.get(address).status_code for address in hidden] == [404, 404, 404]
    answered(own)
    assert client.get(reverse("graded", args=[theirs.pk])).status_code == 200
    report = client.get(hidden[2])
    assert report.status_code == 200
    assert CANARY in report.content.decode()


def test_a_case_of_one_s_open_check_is_read_when_the_check_is_over(issued: Attempt, both: Any, client: Client) -> None:
    case = give_case(open_check(both, "rule-1", FIRST), RECIPE, FIRST)
    assert case.fingerprint == issued.fingerprint
    theirs = answered(issued)
    there = reverse("graded", args=[theirs.pk])
    assert client.get(there).url == reverse("check")  # type: ignore[attr-defined]
    answered(case)
    assert client.get(there).url == reverse("check"), "answered, but not explained yet"  # type: ignore[attr-defined]
    end_check(case.check_case.readiness_check, "given up", CheckFigures(70.0, 50.0, 90.0, 0.5, 1), FIRST)
    assert client.get(there).status_code == 200
