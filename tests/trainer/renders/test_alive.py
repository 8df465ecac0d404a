"""A worker's work is begun again when its process is gone, and only then."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from trainer.renders.alive import TRIES, Alive, is_alive, reap
from trainer.renders.work import ask_for

ROOT = Path(__file__).resolve().parents[3]
HOLD = """
import django, sys, time
django.setup()
from trainer.renders.alive import Alive
assert Alive(sys.argv[1]).take()
holder = Alive(sys.argv[2]); holder.take()
print("held", flush=True); time.sleep(600)
"""

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def var(tmp_path: Path, settings: Any) -> Path:
    settings.VAR = tmp_path
    return tmp_path


def running_task(*workers: str) -> DBTaskResult:
    ask_for("a-recipe", 3)
    row = DBTaskResult.objects.get()
    for worker in workers:
        row.claim(worker)
    return row


def test_a_lock_tells_who_is_alive(var: Path) -> None:
    worker = Alive("one")
    assert not is_alive("one")
    assert worker.take()
    assert is_alive("one")
    assert not is_alive("two")
    worker.drop()
    assert not is_alive("one")


def test_work_of_a_living_worker_is_left_alone(var: Path) -> None:
    worker = Alive("one")
    worker.take()
    row = running_task("one")
    assert reap() == 0
    row.refresh_from_db()
    assert row.status == TaskResultStatus.RUNNING
    worker.drop()


def test_work_of_a_dead_worker_goes_back_to_the_queue(var: Path) -> None:
    row = running_task("gone")
    assert reap() == 1
    row.refresh_from_db()
    assert row.status == TaskResultStatus.READY


def test_it_gives_up_after_three_tries(var: Path) -> None:
    row = running_task(*[f"gone-{number}" for number in range(TRIES)])
    assert reap() == 1
    row.refresh_from_db()
    assert row.status == TaskResultStatus.FAILED
    assert "given up on after 3 tries; the last time its worker died" in row.traceback


def test_a_killed_process_is_seen_to_be_dead(var: Path) -> None:
    settings_dict = connection.settings_dict
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "trainer.config.settings", "LEVELHEAD_VAR": str(var)}
    if connection.vendor == "postgresql":
        env["DATABASE_URL"] = (
            f"postgres://{settings_dict['USER']}@/{settings_dict['NAME']}?host={settings_dict['HOST']}"
        )
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, "unused", "victim"], cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    assert is_alive("victim")
    holder.kill()
    holder.communicate()
    # The server of a database notices a lost connection a moment later than the system a lost file.
    for _ in range(2000):
        if not is_alive("victim"):
            break
    assert not is_alive("victim")


def test_the_same_work_is_queued_once(db: None) -> None:
    assert ask_for("a-recipe", 3)
    assert not ask_for("a-recipe", 3)
    assert ask_for("a-recipe", 4)
    assert DBTaskResult.objects.count() == 2
