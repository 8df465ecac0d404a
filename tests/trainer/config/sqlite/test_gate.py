"""The gate: several processes and threads write to one file, none of them fails, nothing is lost."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from django.db.utils import OperationalError

from trainer.config.sqlite.gate import Gate

ROOT = Path(__file__).resolve().parents[4]
WRITERS = 8
WRITES = 25

READ_THEN_WRITE = f"""
import django
django.setup()
from django.db import transaction
from trainer.progress.models import Cursor
for _ in range({WRITES}):
    with transaction.atomic():
        counter = Cursor.objects.get(name="counter")
        counter.entry += 1
        counter.save()
    Cursor.objects.update_or_create(name="other", defaults={{"entry": 1}})
"""


def environment(folder: Path) -> dict[str, str]:
    return {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "trainer.config.settings",
        "LEVELHEAD_VAR": str(folder),
        "DATABASE_URL": f"sqlite:///{folder}/writers.sqlite3",
    }


def test_eight_processes_that_read_and_then_write_lose_nothing_and_fail_never(tmp_path: Path) -> None:
    env = environment(tmp_path)
    subprocess.run([sys.executable, "manage.py", "migrate", "progress", "-v0"], cwd=ROOT, env=env, check=True)
    with sqlite3.connect(tmp_path / "writers.sqlite3") as file:
        file.execute("INSERT INTO progress_cursor (name, entry) VALUES ('counter', 0)")
    file.close()
    writers = [
        subprocess.Popen([sys.executable, "-c", READ_THEN_WRITE], cwd=ROOT, env=env, stderr=subprocess.PIPE, text=True)
        for _ in range(WRITERS)
    ]
    failures = [writer.communicate()[1] for writer in writers]
    assert [writer.returncode for writer in writers] == [0] * WRITERS, failures
    with sqlite3.connect(tmp_path / "writers.sqlite3") as file:
        (count,) = file.execute("SELECT entry FROM progress_cursor WHERE name = 'counter'").fetchone()
        (whole,) = file.execute("PRAGMA integrity_check").fetchone()
    file.close()
    assert (count, whole) == (WRITERS * WRITES, "ok")


def test_it_lets_one_writer_in_at_a_time(tmp_path: Path) -> None:
    path = str(tmp_path / "gate")
    inside: list[int] = []
    most: list[int] = []

    def write(number: int) -> None:
        gate = Gate(path, wait_s=20)
        for _ in range(50):
            gate.enter()
            inside.append(number)
            most.append(len(inside))
            inside.remove(number)
            gate.leave()
        gate.close()

    threads = [threading.Thread(target=write, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(most) == 200
    assert max(most) == 1


def test_it_gives_up_with_the_database_s_own_error_when_the_gate_stays_shut(tmp_path: Path) -> None:
    path = str(tmp_path / "gate")
    holder, waiter = Gate(path, wait_s=1), Gate(path, wait_s=0.05)
    holder.enter()
    with pytest.raises(OperationalError, match="locked"):
        waiter.enter()
    holder.leave()
    waiter.enter()
    waiter.close()
    holder.close()


def test_the_gate_of_a_killed_process_opens(tmp_path: Path) -> None:
    path = str(tmp_path / "gate")
    code = (
        "import sys, time; from trainer.config.sqlite.gate import Gate\n"
        f"gate = Gate({path!r}, 1); gate.enter(); print('in', flush=True); time.sleep(600)"
    )
    holder = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert holder.stdout is not None
    assert holder.stdout.readline() == "in\n"
    gate = Gate(path, wait_s=0.05)
    with pytest.raises(OperationalError, match="another process"):
        gate.enter()
    holder.kill()
    holder.communicate()
    gate.wait_s = 20
    gate.enter()
    assert gate.held
    gate.close()
