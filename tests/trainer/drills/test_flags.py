"""A flagged case: raised by whoever answered it, settled by who trains them, void for the whole firm and no other."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse

from tests.trainer.conftest import FIRST
from trainer.drills.answer import answer
from trainer.drills.flag import FlagError, flag
from trainer.drills.issue import NotReady, issue
from trainer.drills.models import Attempt, Entry, Flag, Void
from trainer.drills.settle import AlreadySettled, let_stand, void_case, void_fingerprints
from trainer.people.models import Membership, Person, Role, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record

pytestmark = pytest.mark.django_db
LATER = FIRST + timedelta(days=1)
WORDS = "The door is drawn open but counts as shut."


@pytest.fixture
def attempt(graded_row: Callable[..., Any], three: Any) -> Attempt:
    made: Attempt = graded_row(three.insider, {"D1": 0.25})
    return made


@pytest.fixture
def raised(attempt: Attempt, three: Any) -> Flag:
    return flag(attempt, by=three.insider, words=WORDS, now=LATER)


@pytest.fixture
def graded(issued: Attempt, good_answer: dict[str, Any]) -> Attempt:
    answer(issued, client_key=uuid.uuid4(), body=good_answer, sureness=3, answered_at=FIRST, now=FIRST)
    return Attempt.objects.get(pk=issued.pk)


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_case_is_flagged_once_by_whoever_answered_it(attempt: Attempt, three: Any) -> None:
    first = flag(attempt, by=three.insider, words=WORDS, now=LATER)
    assert flag(attempt, by=three.insider, words="Something else entirely.", now=LATER) == first
    assert first.words == WORDS
    for other in (three.mate, three.trainer, three.outsider):
        with pytest.raises(PermissionDenied):
            flag(attempt, by=other, words=WORDS, now=LATER)


def test_an_open_case_or_a_word_alone_is_no_flag(attempt_row: Callable[..., Any], attempt: Attempt, three: Any) -> None:
    with pytest.raises(FlagError, match="Answer the case first"):
        flag(attempt_row(three.insider), by=three.insider, words=WORDS, now=LATER)
    with pytest.raises(FlagError, match="a few words"):
        flag(attempt, by=three.insider, words="wrong", now=LATER)


def test_only_a_trainer_of_the_team_settles_it_and_never_their_own(
    raised: Flag, graded_row: Callable[..., Any], three: Any
) -> None:
    for other in (three.insider, three.mate, three.outsider):
        with pytest.raises(PermissionDenied):
            let_stand(raised, by=other, words="It holds.", now=LATER)
    Membership.objects.create(
        person=three.trainer, team=Membership.objects.get(person=three.trainer).team, role=Role.OPERATOR
    )
    own = flag(graded_row(three.trainer, {"D1": 0.0}), by=three.trainer, words=WORDS, now=LATER)
    with pytest.raises(PermissionDenied):
        void_case(own, by=three.trainer, reason="mine", now=LATER)


def test_the_first_word_stands(raised: Flag, three: Any) -> None:
    let_stand(raised, by=three.trainer, words="The leaf swings into the hall.", now=LATER)
    with pytest.raises(AlreadySettled):
        void_case(raised, by=three.trainer, reason="after all", now=LATER)
    assert not Void.objects.exists()


def test_a_void_case_leaves_every_record_of_the_firm_and_no_other(
    raised: Flag, graded_row: Callable[..., Any], three: Any
) -> None:
    graded_row(three.mate, {"D1": 1.0})
    graded_row(three.mate, {"D1": 0.5}, fingerprint="another case")
    graded_row(three.outsider, {"D1": 1.0})
    catch_up()
    void_case(raised, by=three.trainer, reason="The leaf is drawn wrongly.", now=LATER)
    catch_up()
    assert Record.objects.filter(person=three.insider).count() == 0
    assert Record.objects.get(person=three.mate).credit_sum == 0.5
    assert Record.objects.get(person=three.outsider).credit_sum == 1.0
    assert Entry.objects.filter(what="void").count() == 2
    assert {v.reason for v in Void.objects.all()} == {"The leaf is drawn wrongly."}


def test_a_team_mate_in_another_team_of_the_firm_is_reached_too(
    raised: Flag, graded_row: Callable[..., Any], hashed_password: str, three: Any
) -> None:
    firm = raised.attempt.person.memberships.get().team.firm  # type: ignore[union-attr]
    east = Team.objects.create(firm=firm, name="East")
    far = Person.objects.create(email="far@example.org", password=hashed_password, name="Far")
    Membership.objects.create(person=far, team=east, role=Role.OPERATOR)
    attempt = graded_row(far, {"D1": 1.0})
    void_case(raised, by=three.trainer, reason="drawn wrongly", now=LATER)
    assert Void.objects.filter(attempt=attempt).exists()
    assert void_fingerprints(far) == {attempt.fingerprint}
    assert void_fingerprints(three.outsider) == set()


def test_a_void_case_is_not_given_again_to_the_firm(
    three: Any, graded_row: Callable[..., Any], issued: Attempt
) -> None:
    done = graded_row(three.mate, {"D1": 0.0}, fingerprint=issued.fingerprint, recipe=issued.recipe)
    void_case(flag(done, by=three.mate, words=WORDS, now=LATER), by=three.trainer, reason="drawn wrongly", now=LATER)
    assert Void.objects.filter(attempt=issued).exists(), "an open attempt at the case is void too"
    given = []
    with pytest.raises(NotReady):  # noqa: PT012
        while True:
            one = issue(three.mate, issued.recipe, "drill", LATER).attempt
            given.append(one.fingerprint)
            answer(one, client_key=uuid.uuid4(), body={"stations": []}, sureness=1, answered_at=LATER, now=LATER)
    assert given
    assert issued.fingerprint not in given
    assert issue(three.outsider, issued.recipe, "drill", LATER).attempt.fingerprint == issued.fingerprint


def test_the_pages_lead_from_the_grade_to_the_settled_flag(three: Any, graded: Attempt) -> None:
    operator, trainer = signed_in(three.insider), signed_in(three.trainer)
    assert "Something is wrong with this case" in operator.get(reverse("graded", args=[graded.pk])).content.decode()
    operator.post(reverse("flag", args=[graded.pk]), {"words": WORDS})
    raised = Flag.objects.get(attempt=graded)
    listed = trainer.get(reverse("flags")).content.decode()
    assert "waits for you" in listed
    assert reverse("flagged", args=[raised.pk]) in listed
    page = trainer.get(reverse("flagged", args=[raised.pk])).content.decode()
    assert WORDS in page
    assert "every number and word is the same" in page
    assert three.insider.name in trainer.get(reverse("graded", args=[graded.pk])).content.decode()
    trainer.post(reverse("flagged", args=[raised.pk]), {"what": "void", "words": "The leaf is drawn wrongly."})
    after = operator.get(reverse("graded", args=[graded.pk])).content.decode()
    assert "was taken out of every record" in after
    assert "The leaf is drawn wrongly." in after


def test_the_report_names_nobody(three: Any, graded: Attempt) -> None:
    raised = flag(graded, by=three.insider, words=WORDS, now=LATER)
    report = signed_in(three.trainer).get(reverse("fault_report", args=[raised.pk]))
    body = report.json()
    assert body["recipe"] == graded.recipe
    assert body["seed"] == graded.seed
    assert body["key"] == graded.key
    text = report.content.decode()
    for secret in (three.insider.name, three.insider.email, str(three.insider.pk), WORDS):
        assert secret not in text


@pytest.mark.parametrize("who", ["insider", "mate", "outsider"])
@pytest.mark.parametrize("name", ["flagged", "fault_report"])
def test_to_others_a_flag_is_like_one_that_does_not_exist(who: str, name: str, raised: Flag, three: Any) -> None:
    client = signed_in(getattr(three, who))
    real = client.get(reverse(name, args=[raised.pk]))
    none = client.get(reverse(name, args=[uuid.uuid4()]))
    assert real.status_code == none.status_code == 404


def test_a_trainer_reads_graded_attempts_of_the_team_but_no_open_ones(
    three: Any, attempt_row: Callable[..., Any], graded: Attempt
) -> None:
    trainer = signed_in(three.trainer)
    assert trainer.get(reverse("graded", args=[graded.pk])).status_code == 200
    assert trainer.get(reverse("graded", args=[attempt_row(three.insider).pk])).status_code == 404
    assert signed_in(three.outsider).get(reverse("graded", args=[graded.pk])).status_code == 404
