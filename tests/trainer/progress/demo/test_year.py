"""The invented firm's year: real cases, real grades, invented people; made once, the same each time, apart from all."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from scoring.kinds import kind
from trainer.drills.ledger import grade_json, task_of
from trainer.drills.models import Attempt, Entry
from trainer.library.shelf import standard_at
from trainer.people.access import lasting
from trainer.people.invented import make_demo
from trainer.people.models import Firm, Membership, Person, Role
from trainer.progress.demo.cast import OPERATORS, TEAMS, firm_of_demo
from trainer.progress.demo.lives import lives
from trainer.progress.demo.pool import pool
from trainer.progress.demo.work import ask_for_year, being_made, fill_demo
from trainer.progress.demo.year import make_year, write_year
from trainer.progress.models import Evidence, Standing
from trainer.renders.models import Variation
from trainer.roster.models import Decision, ObservedShoot, Refresher, Reshoot

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 15, 16, 40, tzinfo=UTC)


@pytest.fixture
def demo(stocked: Any, tmp_path: Path) -> Firm:
    """The invented firm with those who can sign in, and cases in stock."""
    make_demo(tmp_path / "demo_sign_in")
    firm = firm_of_demo()
    assert firm is not None
    return firm


def ledger() -> list[tuple[Any, ...]]:
    rows = Entry.objects.order_by("pk").values_list(
        "attempt__person__name", "attempt__recipe", "attempt__seed", "attempt__answer__received_at",
        "attempt__answer__body", "attempt__answer__grade__credit",
    )  # fmt: skip
    return [tuple(str(one) for one in row) for row in rows]


def test_the_pool_has_good_and_weak_answers_of_real_cases(demo: Firm) -> None:
    cases = pool(Random(1))
    assert cases
    stored = {variation.fingerprint for variation in Variation.objects.all()}
    for case in cases:
        assert case.task.fingerprint in stored
        assert min(one.credit for one in case.good) > max(one.credit for one in case.weak)


def test_a_year_is_made_once_of_answers_that_the_engine_graded_so(demo: Firm, three: Any) -> None:
    others = list(Person.objects.filter(pk__in=[three.insider.pk, three.outsider.pk]).values())
    count = make_year(NOW)
    came = dict(Membership.objects.filter(team__firm=demo).order_by("-since").values_list("person", "since"))
    assert all(came[person] < at for person, at in Attempt.objects.values_list("person", "issued_at"))
    assert max(came.values()) <= NOW
    assert count == Attempt.objects.count() == Entry.objects.count() > 300
    assert make_year(NOW) == 0
    for attempt in Attempt.objects.select_related("answer__grade").order_by("pk")[:8]:
        value = kind(attempt.kind).grade(task_of(attempt), attempt.answer.body, standard_at(attempt.standard_address))
        assert json.loads(json.dumps(grade_json(value))) == attempt.answer.grade.body
    moments = list(Entry.objects.order_by("pk").values_list("made_at", flat=True))
    assert moments == sorted(moments)
    assert moments[-1] < NOW
    assert NOW - moments[0] > timedelta(days=250)
    assert list(Person.objects.filter(pk__in=[three.insider.pk, three.outsider.pk]).values()) == others
    there = lasting().exclude(team__firm=demo).values("person")
    assert not Attempt.objects.filter(person__in=there).exists()


@pytest.mark.proof
def test_every_board_has_something_to_show_and_attempts_open_as_they_were_graded(demo: Firm, client: Client) -> None:
    make_year(NOW)
    works = Membership.objects.filter(team__firm=demo, role=Role.OPERATOR)
    assert works.count() == OPERATORS
    assert set(demo.teams.values_list("name", flat=True)) == set(TEAMS)
    assert Standing.objects.exclude(state="untried").count() > 40
    assert Evidence.objects.count() > 300
    assert ObservedShoot.objects.values("by").distinct().count() > 3
    assert set(Decision.objects.values_list("what", flat=True)) == {"hold", "release", "send"}
    assert Refresher.objects.filter(end__isnull=True, ready_on__gt=NOW.date()).count() == 1
    assert Reshoot.objects.filter(firm=demo).count() > 30
    counts = {
        address: Attempt.objects.filter(person__email=f"{address}@levelhead.example").count()
        for address in ("operator", "trainer", "mate", "owner")
    }
    assert counts["operator"] > 10
    assert counts["mate"] == counts["owner"] == 0, "somebody comes for the first time"
    assert not Person.objects.get(email="mate@levelhead.example").observed_shoots.exists()
    client.force_login(Person.objects.get(email="owner@levelhead.example"))
    attempt = Attempt.objects.filter(person__isnull=False).order_by("issued_at").first()
    assert attempt is not None
    page = client.get(f"/attempts/{attempt.pk}/grade/").content.decode()
    assert str(attempt.person) in page
    assert "What was found" in page


@pytest.mark.proof
def test_the_same_seed_and_the_same_cases_make_the_same_year(demo: Firm) -> None:
    years = []
    for seed in (5, 5, 6):
        point = transaction.savepoint()
        write_year(NOW, seed)
        years.append(ledger())
        transaction.savepoint_rollback(point)
    assert years[0] == years[1] != years[2]


def test_the_worker_waits_for_the_stock_and_says_that_the_year_is_to_come(demo: Firm, settings: Any) -> None:
    settings.DEMO = True
    assert being_made([demo])
    assert ask_for_year()
    assert not ask_for_year(), "it is queued once"
    assert fill_demo.func() > 300
    assert not being_made([demo])
    assert not ask_for_year()


def test_nothing_is_made_where_no_demo_is_wanted(demo: Firm, settings: Any) -> None:
    settings.DEMO = False
    assert fill_demo.func() == 0
    assert not being_made([demo])


def test_lives_grow_with_practice_and_fade_without() -> None:
    life = lives(60, ["A2"], Random(3), NOW)[0]
    fresh = life.ability(["A2"], NOW)
    for _ in range(40):
        life.practised(["A2"], NOW)
    learned = life.ability(["A2"], NOW)
    assert learned > fresh
    assert 0 < life.ability(["A2"], NOW + timedelta(days=195)) < learned
    assert life.ability(["A2"], NOW + timedelta(days=195)) == pytest.approx(learned / 2)
