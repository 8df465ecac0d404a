"""Variations kept ready: stored with their reference, never two that look the same, unfit seeds set aside."""

from __future__ import annotations

import itertools
import signal
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection

from scoring.drill import Unfit as UnfitSeed
from scoring.kinds import place
from trainer.renders import stock
from trainer.renders.models import Unfit, Variation
from trainer.renders.work import keep_ready

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, tzinfo=UTC)


def test_a_stored_variation_is_the_task_that_the_kind_makes(stocked: Any) -> None:
    variation = Variation.objects.order_by("pk").first()
    assert variation is not None
    stored = stock.task_of(variation)
    made = place.make(stocked.recipe, stocked.plan, stocked.kit, stocked.standard, variation.seed)
    del stored.key["canary"]
    assert (stored.public, stored.key, stored.fingerprint) == (made.public, made.key, made.fingerprint)


def test_a_seed_is_made_once(stocked: Any) -> None:
    variation = Variation.objects.order_by("pk").first()
    assert variation is not None
    again = stock.make_one(stocked, variation.seed, NOW)
    assert again == variation
    assert stock.count(stocked.address) == 3


def test_an_unfit_seed_is_set_aside_and_not_tried_again(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[int] = []

    def refuse(recipe: Any, plan: Any, kit: Any, standard: Any, seed: int) -> Any:
        tried.append(seed)
        raise UnfitSeed("two answers are equally good")

    monkeypatch.setattr(place, "make", refuse)
    assert stock.make_one(stocked, 99, NOW) is None
    assert stock.make_one(stocked, 99, NOW) is None
    assert tried == [99]
    assert Unfit.objects.get(seed=99).reason == "two answers are equally good"


def test_one_that_looks_like_another_is_set_aside(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    first = Variation.objects.order_by("pk").first()
    assert first is not None
    twin = stock.task_of(first)
    monkeypatch.setattr(place, "make", lambda *args: twin)
    assert stock.make_one(stocked, 98, NOW) is None
    assert "looks like" in Unfit.objects.get(seed=98).reason
    assert stock.count(stocked.address) == 3


def test_a_recipe_that_makes_nothing_is_given_up_on(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: Any) -> Any:
        raise UnfitSeed("never")

    monkeypatch.setattr(place, "make", refuse)
    seeds = itertools.count(1000)
    assert stock.make_ready(stocked, 9, NOW, at_most=9, draw=lambda: next(seeds)) == 0
    assert Unfit.objects.count() == stock.UNFIT_IN_A_ROW


def test_seeds_cannot_be_guessed() -> None:
    drawn = {stock.random_seed() for _ in range(100)}
    assert len(drawn) == 100
    assert max(drawn) > 2**50


def test_the_next_one_is_none_that_was_seen(stocked: Any) -> None:
    seen: set[str] = set()
    for _ in range(3):
        variation = stock.next_for(stocked.address, seen)
        assert variation is not None
        assert variation.fingerprint not in seen
        seen.add(variation.fingerprint)
    assert stock.next_for(stocked.address, seen) is None


def test_the_worker_makes_one_and_queues_up_again(stocked: Any) -> None:
    from django_tasks_db.models import DBTaskResult

    assert keep_ready.call("two-rooms-place", 3) == 0
    assert not DBTaskResult.objects.exists()
    assert keep_ready.call("two-rooms-place", 5) == 1
    assert stock.count(stocked.address) == 4
    assert DBTaskResult.objects.get().args_kwargs["args"] == ["two-rooms-place", 5]


def test_a_recipe_that_left_the_shelf_is_no_work(stocked: Any) -> None:
    assert keep_ready.call("gone", 5) == 0


@pytest.fixture
def signals_kept() -> Iterator[None]:
    kept = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM, signal.SIGQUIT)}
    yield
    for number, handler in kept.items():
        signal.signal(number, handler)


@pytest.fixture
def for_the_hand(monkeypatch: pytest.MonkeyPatch, tmp_path: Any, settings: Any) -> None:
    """The process that does a worker's tasks finds the database and the folder of this test."""
    found = connection.settings_dict
    address = f"sqlite:///{found['NAME']}"
    if connection.vendor == "postgresql":
        address = f"postgres://{found['USER']}@/{found['NAME']}?host={found['HOST']}"
    monkeypatch.setenv("DATABASE_URL", address)
    monkeypatch.setenv("LEVELHEAD_VAR", str(tmp_path))
    settings.VAR = tmp_path


@pytest.mark.django_db(transaction=True)
def test_the_worker_empties_the_queue(stocked: Any, for_the_hand: None, signals_kept: None) -> None:
    keep_ready.enqueue("two-rooms-place", 5)
    call_command("worker", until_idle=True, verbosity=0)
    assert stock.count(stocked.address) == 5


def test_it_gives_the_unseen_variation_whose_difficulty_is_nearest(stocked: Any) -> None:
    rows = list(Variation.objects.filter(address=stocked.address).order_by("pk"))
    for row, difficulty in zip(rows, (-1.0, 0.2, 2.0), strict=True):
        Variation.objects.filter(pk=row.pk).update(difficulty_logit=difficulty)
    found = stock.next_for(stocked.address, set(), 1.4)
    assert found == rows[2]
    assert stock.next_for(stocked.address, {rows[2].fingerprint}, 1.4) == rows[1]
    assert stock.next_for(stocked.address, set()) == rows[0]
