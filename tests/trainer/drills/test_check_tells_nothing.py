"""While a check goes on nothing of key or grade leaves the server, not even of cases that are answered."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.trainer.conftest import FIRST
from tests.trainer.drills.test_key_stays import replies, telling_numbers
from tests.ways import second
from trainer.drills.answer import answer
from trainer.drills.check_case import give_case
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check
from trainer.drills.looking import name_outside
from trainer.drills.models import Answer, Attempt, CheckCase, CheckEnd, Grade
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record

pytestmark = pytest.mark.django_db
FIGURES = CheckFigures(81.0, 70.0, 90.0, 0.6, 1)
ENDING = ("/check/give-up/",)
"""Addresses that end the check, and so may tell."""


@pytest.fixture
def answered(stocked: Any, three: Any) -> Attempt:
    """A case of the insider's open check, answered with marks lost."""
    now = timezone.now()
    case = give_case(open_check(three.insider, "rule-1", now), "two-rooms-place", now)
    body = {"stations": [{"level": 0, "x": 1.234, "y": 1.3}]}
    answer(case, client_key=uuid.uuid4(), body=body, sureness=2, answered_at=now, now=now)
    return Attempt.objects.select_related("answer__grade").get(pk=case.pk)


def secrets_of(case: Attempt) -> set[str]:
    """Numbers of key and grade, and sentences of the grade, that are found nowhere by chance."""
    grade = case.answer.grade.body

    def sentences(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            for item in value.values():
                yield from sentences(item)
        elif isinstance(value, list):
            for item in value:
                yield from sentences(item)
        elif isinstance(value, str) and len(value) > 25:
            yield value

    numbers = telling_numbers(case.key, case.public) | telling_numbers(grade, [case.public, case.answer.body])
    return numbers | set(sentences(grade))


@pytest.mark.parametrize("who", ["insider", "trainer", *second("mate", "outsider")])
def test_no_reply_tells_anything(who: str, client: Client, answered: Attempt, three: Any) -> None:
    secret = secrets_of(answered)
    assert "86753.0921" in secret
    assert any(" " in one for one in secret)
    client.force_login(getattr(three, who))
    searched = list(replies(client, answered.pk, leave_out=ENDING))
    assert len(searched) > 100
    leaks = [(where, one) for where, text in searched for one in secret if one in text]
    assert not leaks
    assert not CheckEnd.objects.exists(), "the walk must not have ended the check"
    assert Answer.objects.filter(attempt=answered).exists()


def test_the_reply_to_an_answer_says_that_it_is_taken_and_no_more(client: Client, stocked: Any, three: Any) -> None:
    case = give_case(open_check(three.insider, "rule-1", FIRST), "two-rooms-place", FIRST)
    client.force_login(three.insider)
    key = str(uuid.uuid4())

    def put(client_key: str, x: float) -> Any:
        body = {
            "client_key": client_key, "answer": {"stations": [{"level": 0, "x": x, "y": 1.3}]}, "sureness": 2,
            "answered_at": FIRST.isoformat(),
        }  # fmt: skip
        return client.put(reverse("api_answer", args=[case.pk]), body, content_type="application/json")

    first = put(key, 1.2)
    assert (first.status_code, set(first.json())) == (202, {"attempt", "detail"})
    assert put(key, 1.2).json() == first.json()
    other = put(str(uuid.uuid4()), 0.9)
    assert (other.status_code, other.json()["stands"]) == (409, None), "another device hears only that it is taken"
    assert Grade.objects.count() == 1


def test_its_grade_what_if_flag_and_page_wait_for_the_end(client: Client, answered: Attempt, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(reverse("api_grade", args=[answered.pk])).json()["stands"] is None
    assert client.get(reverse("api_attempt", args=[answered.pk])).json()["graded"] is False
    asked = {"answer": {"stations": []}}
    for name in ("api_what_if", "what_if"):
        assert client.post(reverse(name, args=[answered.pk]), asked, content_type="application/json").status_code == 409
    assert client.get(reverse("graded", args=[answered.pk])).headers["Location"] == reverse("check")
    assert client.get(reverse("look_round", args=[answered.pk])).status_code == 404
    client.post(reverse("flag", args=[answered.pk]), {"words": "this is not a fair case"})
    assert not answered.flags.exists()
    end_check(answered.check_case.readiness_check, "given up", FIGURES, FIRST)
    assert client.get(reverse("api_grade", args=[answered.pk])).status_code == 200
    assert client.get(reverse("graded", args=[answered.pk])).status_code == 200
    assert client.get(reverse("look_round", args=[answered.pk])).status_code == 200


def test_no_record_moves_before_the_end_and_each_answer_counts_once(answered: Attempt, three: Any) -> None:
    catch_up()
    assert not Record.objects.filter(person=three.insider).exists()
    end_check(answered.check_case.readiness_check, "given up", FIGURES, FIRST)
    catch_up()
    evidence = answered.answer.grade.body["evidence"]
    assert evidence
    assert {record.skill: record.n for record in Record.objects.filter(person=three.insider)} == {
        one["skill"]: 1 for one in evidence
    }
    assert catch_up() == 0


def test_the_clean_picture_of_an_answered_case_is_not_there(
    client: Client, graded_row: Callable[..., Any], three: Any
) -> None:
    check = open_check(three.insider, "rule-1", FIRST)
    frames = {"frames": [{"name": "frame", "title": "A frame", "what": "frame"}], "title": "A frame", "asks": {}}
    case = graded_row(
        three.insider, {"V1": 1.0}, mode="check", kind="verdict", public=frames,
        key={"takes": {"frame": {}, "clean": {}}, "known": {}},
    )  # fmt: skip
    CheckCase.objects.create(readiness_check=check, attempt=case, place=1)
    client.force_login(three.insider)
    where = {"attempt_id": case.pk, "token": name_outside(case, "clean"), "part": "1024"}
    assert client.get(reverse("picture", kwargs=where)).status_code == 404
