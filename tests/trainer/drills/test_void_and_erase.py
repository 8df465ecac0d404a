"""Taking an attempt out of the record, and erasing a person: both are entries; nothing that was given is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from trainer.drills.erase import erase
from trainer.drills.models import Attempt, Entry, Grade
from trainer.drills.void import AlreadyVoid, void
from trainer.people.models import Invitation, Membership, Person, Role
from trainer.progress.catch_up import catch_up
from trainer.progress.models import Record

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, tzinfo=UTC)


def test_a_trainer_voids_an_attempt_of_the_team_and_says_why(graded_row: Callable[..., Any], three: Any) -> None:
    attempt = graded_row(three.insider, {"D1": 0.5})
    made = void(attempt, by=three.trainer, reason="  the plan was wrong ", now=NOW)
    assert made.reason == "the plan was wrong"
    assert list(Entry.objects.order_by("pk").values_list("what", flat=True)) == ["grade", "void"]
    assert Grade.objects.filter(answer__attempt=attempt).exists()


@pytest.mark.parametrize("who", ["insider", "mate", "outsider"])
def test_nobody_else_may(who: str, graded_row: Callable[..., Any], three: Any) -> None:
    attempt = graded_row(three.insider, {"D1": 0.5})
    with pytest.raises(PermissionDenied):
        void(attempt, by=getattr(three, who), reason="because", now=NOW)


def test_a_trainer_may_not_void_an_own_attempt(graded_row: Callable[..., Any], three: Any) -> None:
    team = three.trainer.memberships.get().team
    Membership.objects.create(person=three.trainer, team=team, role=Role.OPERATOR)
    attempt = graded_row(three.trainer, {"D1": 0.5})
    with pytest.raises(PermissionDenied):
        void(attempt, by=three.trainer, reason="because", now=NOW)


def test_it_is_voided_once_and_never_without_a_reason(graded_row: Callable[..., Any], three: Any) -> None:
    attempt = graded_row(three.insider, {"D1": 0.5})
    with pytest.raises(ValueError, match="say why"):
        void(attempt, by=three.trainer, reason=" ", now=NOW)
    void(attempt, by=three.trainer, reason="first", now=NOW)
    with pytest.raises(AlreadyVoid):
        void(attempt, by=three.trainer, reason="second", now=NOW)


def test_no_invitation_keeps_the_address_of_whoever_is_erased(three: Any) -> None:
    team, address = three.insider.memberships.get().team, three.insider.email
    for number, used in enumerate((NOW, None)):
        Invitation.objects.create(
            team=team, roles=["operator"], email=address, code_digest=str(number), made_at=NOW, used_at=used,
            expires_at=NOW, used_by=three.insider if used else None,
        )  # fmt: skip
    erase(three.insider, NOW)
    assert [(one.email, one.used_at) for one in Invitation.objects.all()] == [("", NOW)]


def test_erasing_cuts_every_link_and_says_that_it_was_done(graded_row: Callable[..., Any], three: Any) -> None:
    mine, other = graded_row(three.insider, {"D1": 0.5}), graded_row(three.mate, {"D1": 1.0})
    catch_up()
    entry = erase(three.insider, NOW)
    assert (entry.what, entry.attempt) == ("erasure", None)
    assert Attempt.objects.get(pk=mine.pk).person is None
    assert Grade.objects.filter(answer__attempt=mine).exists()
    assert Attempt.objects.get(pk=other.pk).person == three.mate
    assert not Person.objects.filter(pk=three.insider.pk).exists()
    assert set(Record.objects.values_list("person", flat=True)) == {three.mate.pk}
