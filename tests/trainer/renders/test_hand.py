"""A real worker cuts off what hangs, eats memory or dies, begins it again, gives up in the end, and works on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
SCRIPT = """
import json, sys
import django
django.setup()
from django.core.management import call_command
from django_tasks_db.models import DBTaskResult
from tests.trainer.renders import misbehaving
call_command("migrate", verbosity=0)
tasks = [getattr(misbehaving, name).enqueue() for name in sys.argv[2:]]
for task in tasks:
    DBTaskResult.objects.filter(pk=task.id).update(worker_ids=["gone"] * int(sys.argv[1]))
tasks.append(misbehaving.behave.enqueue(21))
call_command("worker", until_idle=True)
rows = [DBTaskResult.objects.get(pk=task.id) for task in tasks]
print(json.dumps([[row.status, len(row.worker_ids), row.traceback, row.return_value] for row in rows]))
"""
WHY = {"hang": "stopped after 1 s", "die": "its process died", "eat": "wanted more than 1024 MiB of memory"}


def check_worker(folder: Path, tries_before: int, *names: str) -> None:
    """Run a worker on those tasks, begun so often before, and on one that behaves."""
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "trainer.config.settings",
        "LEVELHEAD_VAR": str(folder),
        "DATABASE_URL": f"sqlite:///{folder}/site.sqlite3",
        "LEVELHEAD_TASK_S": "1",
        "LEVELHEAD_TASK_MIB": "1024",
    }
    command = [sys.executable, "-c", SCRIPT, str(tries_before), *names]
    worker = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True)
    assert worker.returncode == 0, worker.stderr
    *bad, good = json.loads(worker.stdout.splitlines()[-1])
    assert bad == [["FAILED", 3, f"given up on after 3 tries; the last time {WHY[name]}", None] for name in names]
    assert good == ["SUCCESSFUL", 1, "", 42]
    assert [worker.stderr.count(WHY[name]) for name in names] == [3 - tries_before] * len(names)


def test_a_task_that_hangs_is_cut_off_and_given_up_on_in_the_end_and_others_are_done(tmp_path: Path) -> None:
    check_worker(tmp_path, 2, "hang")


@pytest.mark.proof
def test_every_way_to_misbehave_is_tried_three_times(tmp_path: Path) -> None:
    check_worker(tmp_path, 0, "hang", "die", "eat")


def test_a_hand_ends_with_its_worker(tmp_path: Path) -> None:
    env = {**os.environ, "LEVELHEAD_VAR": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/site.sqlite3"}
    hand = subprocess.Popen(
        [sys.executable, "manage.py", "worker", "--hand"],
        cwd=ROOT,
        env=env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert hand.stdout is not None
    assert hand.stdin is not None
    assert hand.stdout.readline() == b"ready\n"
    hand.stdin.close()
    assert hand.wait() == 0
    hand.stdout.close()
