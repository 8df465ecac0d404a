"""The log of reshoots: entered and struck by who leads the team, counted against the jobs of a month."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from tests.trainer.roster.conftest import OTHERS
from trainer.roster.count_jobs import count_jobs, jobs_by_month, month_of
from trainer.roster.entry import EntryError
from trainer.roster.log_reshoot import Told, cost_of, kit_named, kits_by_words, log_reshoot
from trainer.roster.models import JobCount, Reshoot, StruckReshoot
from trainer.roster.reshoots import standing
from trainer.roster.strike_reshoot import strike_reshoot

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
REASON = "Entered for the wrong home."


def told(firm: Any, **fields: Any) -> Told:
    given: dict[str, Any] = {
        "team": firm.home, "person": firm.insider, "shot_on": date(2026, 5, 4), "cause": "F8",
        "cost": Decimal("79.50"), "kit": "", "place_type": "flat", "words": "", **fields,
    }  # fmt: skip
    return Told(**given)


def enter(firm: Any, by: Any = None, key: uuid.UUID | None = None, **fields: Any) -> Reshoot:
    return log_reshoot(told(firm, **fields), by=by or firm.trainer, key=key or uuid.uuid4(), now=NOW)


def test_it_is_entered_once_under_its_key(firm: Any) -> None:
    key = uuid.uuid4()
    first = enter(firm, key=key)
    assert enter(firm, key=key, cause="F1") == first
    stored = Reshoot.objects.get()
    assert (stored.cause, stored.cost, stored.person, stored.firm) == (
        "F8",
        Decimal("79.50"),
        firm.insider,
        firm.home.firm,
    )


@pytest.mark.parametrize("who", ["trainer", "manager", "owner"])
def test_whoever_leads_the_team_enters_and_strikes(who: str, firm: Any) -> None:
    leader = getattr(firm, who)
    made = strike_reshoot(enter(firm, leader), by=leader, reason=REASON, now=NOW)
    assert made.by == leader
    assert not standing().exists()


@pytest.mark.parametrize("who", [name for name in OTHERS if name != "anonymous"])
def test_nobody_else_does(who: str, firm: Any) -> None:
    other, reshoot = getattr(firm, who), enter(firm)
    for refused in (
        lambda: enter(firm, other),
        lambda: strike_reshoot(reshoot, by=other, reason=REASON, now=NOW),
        lambda: count_jobs(firm.home, date(2026, 5, 1), 40, by=other, now=NOW),
    ):
        with pytest.raises(PermissionDenied):
            refused()
    assert Reshoot.objects.count() == 1
    assert not JobCount.objects.exists()


def test_only_an_own_operator_is_named(firm: Any) -> None:
    for stranger in (firm.outsider, firm.trainer, firm.east_trainer):
        with pytest.raises(PermissionDenied):
            enter(firm, person=stranger)
    assert enter(firm, person=None).person is None


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"shot_on": date(2026, 6, 3)}, "still to come"),
        ({"shot_on": date(2021, 5, 1)}, "5 years ago"),
        ({"cause": "N0"}, "from the list"),
        ({"cost": Decimal("-1")}, "between 0 and"),
        ({"cost": Decimal("10000000")}, "between 0 and"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(fields: dict[str, Any], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        enter(firm, **fields)
    assert not Reshoot.objects.exists()


def test_the_first_reason_of_a_strike_stands(firm: Any) -> None:
    reshoot = enter(firm)
    with pytest.raises(EntryError, match="a reason of at least 10"):
        strike_reshoot(reshoot, by=firm.trainer, reason="wrong", now=NOW)
    first = strike_reshoot(reshoot, by=firm.trainer, reason=REASON, now=NOW)
    assert strike_reshoot(reshoot, by=firm.owner, reason="Another reason altogether.", now=NOW) == first
    assert StruckReshoot.objects.get().reason == REASON


@pytest.mark.parametrize(
    ("typed", "cost"), [("79", "79.00"), ("79.5", "79.50"), ("79,50", "79.50"), (" 1 200 ", "1200.00"), ("0", "0.00")]
)
def test_a_cost_is_read_as_people_type_it(typed: str, cost: str) -> None:
    assert cost_of(typed) == Decimal(cost)


@pytest.mark.parametrize(
    "typed", ["", "cheap", "1,200.50", "1,500", "1.500", "1_500", "-3", "nan", "inf", "1e9", "0.001", "99999999"]
)
def test_what_is_no_cost_is_refused(typed: str) -> None:
    with pytest.raises(EntryError):
        cost_of(typed)


def test_a_kit_is_found_by_its_title_among_the_own_ones(firm: Any, stocked: Any) -> None:
    kits = kits_by_words(firm.trainer)
    name = next(iter(kits.values()))
    title = next(words for words, kit in kits.items() if kit == name)
    assert kit_named(f"  {title.upper()} ", kits) == name
    assert kit_named("", kits) == ""
    with pytest.raises(EntryError, match="no such kit"):
        kit_named("something else", kits)


def test_the_newest_count_of_a_month_counts(firm: Any) -> None:
    later = datetime(2026, 6, 2, tzinfo=UTC)
    count_jobs(firm.home, date(2026, 5, 20), 40, by=firm.manager, now=NOW)
    count_jobs(firm.home, date(2026, 5, 1), 44, by=firm.trainer, now=later)
    count_jobs(firm.east, date(2026, 5, 1), 7, by=firm.owner, now=NOW)
    assert jobs_by_month(JobCount.objects.all()) == {
        (firm.home.pk, date(2026, 5, 1)): 44,
        (firm.east.pk, date(2026, 5, 1)): 7,
    }


@pytest.mark.parametrize(
    ("month", "jobs", "words"),
    [(date(2026, 7, 1), 4, "has not begun"), (date(2026, 5, 1), -1, "between 0"), (date(2026, 5, 1), 10**6, "between")],
)
def test_a_count_that_cannot_be_is_refused(month: date, jobs: int, words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        count_jobs(firm.home, month, jobs, by=firm.manager, now=NOW)


def test_a_month_is_read_or_refused() -> None:
    assert month_of(" 2026-03 ") == date(2026, 3, 1)
    for typed in ("", "March", "2026-13", "2026-03-04"):
        with pytest.raises(EntryError, match="like 2026-03"):
            month_of(typed)
