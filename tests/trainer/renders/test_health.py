"""What the site says of itself: little to everybody, the work beside the pages to those who lead."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from trainer.renders import health
from trainer.renders.alive import Alive, living
from trainer.renders.models import Result
from trainer.renders.work import ask_for

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def var(tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch) -> Path:
    settings.VAR = tmp_path
    monkeypatch.setattr(health, "LOOK_AGAIN_S", -1.0)
    return tmp_path


@pytest.fixture
def worker(var: Path) -> Iterator[Alive]:
    worker = Alive("one")
    assert worker.take()
    yield worker
    worker.drop()


def test_living_workers_are_counted_and_files_of_dead_ones_swept_up(var: Path) -> None:
    first, second = Alive("one"), Alive("two")
    assert living() == 0
    first.take()
    second.take()
    assert living() == 2
    second.drop()
    assert living() == 1
    if connection.vendor == "sqlite":
        assert [path.stem for path in (var / "workers").iterdir()] == ["one"]
    first.drop()


def test_the_process_answers_whatever_else_is_down(client: Client) -> None:
    assert client.get("/healthz").json() == {"answers": True}


def test_it_is_ready_with_a_database_a_worker_and_room(client: Client, worker: Alive) -> None:
    reply = client.get("/readyz")
    assert (reply.status_code, reply.json()) == (200, {"database": True, "worker": True, "room": True})
    assert not Result.objects.exists(), "looking leaves nothing behind"


def test_it_is_not_ready_without_a_worker(client: Client) -> None:
    reply = client.get("/readyz")
    assert (reply.status_code, reply.json()["worker"]) == (503, False)


def test_it_is_not_ready_without_room(client: Client, worker: Alive, settings: Any) -> None:
    settings.ROOM_MIB = 1e15
    reply = client.get("/readyz")
    assert (reply.status_code, reply.json()) == (503, {"database": True, "worker": True, "room": False})


def test_it_is_not_ready_when_the_database_takes_no_writes(client: Client, worker: Alive) -> None:
    refuse, take = {
        "sqlite": ("PRAGMA query_only = ON", "PRAGMA query_only = OFF"),
        "postgresql": ("SET default_transaction_read_only = on", "SET default_transaction_read_only = off"),
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(refuse)
        reply = client.get("/readyz")
        cursor.execute(take)
    assert (reply.status_code, reply.json()["database"]) == (503, False)


def test_leaders_see_workers_and_what_was_given_up_on(client: Client, worker: Alive, three: Any) -> None:
    ask_for("a-recipe", 3)
    DBTaskResult.objects.update(status=TaskResultStatus.FAILED, traceback="given up on after 3 tries; <why>")
    client.force_login(three.trainer)
    page = client.get(reverse("work")).content.decode()
    assert "1 worker alive" in page
    assert "keep ready: a-recipe, 3" in page
    assert "given up on after 3 tries; &lt;why&gt;" in page
    assert reverse("work") in client.get(reverse("settings")).content.decode()


def test_operators_do_not(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(reverse("work")).status_code == 404
    assert reverse("work") not in client.get(reverse("settings")).content.decode()
