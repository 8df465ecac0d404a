"""A newcomer's form is no way to find out who signs in here: one wording for all, and few tries, however many links."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.conftest import PASSWORD
from trainer.people.firm import let_found, may_found
from trainer.people.invite import invite
from trainer.people.join import CANNOT_BE_USED
from trainer.people.models import Person, Role
from trainer.people.newcomers import BY_ADDRESS, BY_CODE, BY_MAKER, TOO_OFTEN
from trainer.people.tries import Limit, may_try, took_back

pytestmark = pytest.mark.django_db
FORM = {"name": "N", "email": "outsider@example.org", "password": PASSWORD}
"""The address of somebody of another firm."""


@pytest.fixture(autouse=True)
def light_hashes(settings: Any) -> None:
    """Dozens of forms are sent; how passwords are kept is tested elsewhere."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def link(house: Any, by: str = "manager") -> str:
    team = house.away if by == "away_owner" else house.east if by == "east_manager" else house.north
    made = invite(team, roles=[Role.OPERATOR], by=getattr(house, by), now=timezone.now())
    return reverse("join", args=[made.code])


def sent(where: str, at: str = "203.0.113.1", **fields: str) -> str:
    """What a newcomer is told who sends the form from an address of the net."""
    reply = Client(REMOTE_ADDR=at).post(where, {**FORM, **fields})
    return "came in" if reply.status_code == 302 else reply.content.decode()


def founding(code: str, at: str = "203.0.113.1", **fields: str) -> str:
    return sent(reverse("new_firm"), at, **{"code": code, "firm": "F", "team": "T", **fields})


def test_one_link_from_many_addresses(house: Any) -> None:
    where = link(house)
    told = [sent(where, f"203.0.113.{n}") for n in range(BY_CODE.most + 1)]
    assert CANNOT_BE_USED in told[BY_CODE.most - 1]
    assert TOO_OFTEN in told[-1]
    assert CANNOT_BE_USED not in told[-1]
    assert CANNOT_BE_USED in sent(link(house), "203.0.113.99"), "another link of the maker still opens"


def test_many_links_of_one_maker_from_many_addresses(house: Any) -> None:
    told = [sent(link(house), f"203.0.113.{n}") for n in range(BY_MAKER.most + 1)]
    assert CANNOT_BE_USED in told[BY_MAKER.most - 1]
    assert TOO_OFTEN in told[-1]
    assert TOO_OFTEN in sent(link(house), "203.0.113.99", email="new@example.org")
    assert sent(link(house, "east_manager"), "203.0.113.99", email="new@example.org") == "came in"


def test_links_of_many_makers_and_a_founding_from_one_address(house: Any) -> None:
    makers = ("manager", "east_manager", "owner", "away_owner")
    told = [sent(link(house, makers[n % len(makers)])) for n in range(BY_ADDRESS.most + 1)]
    assert CANNOT_BE_USED in told[BY_ADDRESS.most - 1]
    assert TOO_OFTEN in told[-1]
    code = let_found(timezone.now())
    assert TOO_OFTEN in founding(code, email="new@example.org")
    assert founding(code, "203.0.113.99", email="new@example.org") == "came in"


def test_a_whole_team_joins_from_one_office_in_one_hour(house: Any) -> None:
    told = [sent(link(house), email=f"new-{n}@example.org") for n in range(BY_ADDRESS.most + 5)]
    assert set(told) == {"came in"}


def test_a_founding_code_tells_no_more_than_a_link_and_no_oftener(house: Any) -> None:
    code = let_found(timezone.now())
    told = [founding(code, f"203.0.113.{n}") for n in range(BY_CODE.most + 1)]
    assert CANNOT_BE_USED in told[BY_CODE.most - 1]
    assert "signs in here already." not in told[0]
    assert TOO_OFTEN in told[-1]
    assert may_found(code, timezone.now()), "the code is not used up by tries"
    assert Person.objects.filter(email=FORM["email"]).count() == 1


def test_who_is_signed_in_is_told_nothing_of_others_and_not_counted(house: Any) -> None:
    client, code = Client(), let_found(timezone.now())
    client.force_login(house.outsider)
    for _ in range(BY_CODE.most + 1):
        assert client.post(reverse("new_firm"), {"code": code, "firm": " ", "team": "T"}).status_code == 400
    assert client.post(reverse("new_firm"), {"code": code, "firm": "F", "team": "T"}).status_code == 302


def test_tries_are_counted_for_a_stretch_of_time_and_for_each_alone() -> None:
    few, at = Limit("a-test", 2, 60), datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    assert [may_try(few, "one", at) for _ in range(3)] == [True, True, False]
    assert may_try(few, "another", at)
    assert may_try(Limit("another-test", 2, 60), "one", at)
    assert may_try(few, "one", at + timedelta(seconds=60))
    took_back(few, "another", at)
    assert [may_try(few, "another", at) for _ in range(3)] == [True, True, False]
    took_back(few, "nobody", at)
