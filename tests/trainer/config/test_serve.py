"""The whole site as one command: it says where it answers, begins a dead worker again, and leaves nothing behind."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.waiting import comes
from trainer.renders.darkroom import NICE

ROOT = Path(__file__).resolve().parents[3]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def children(pid: int) -> dict[str, int]:
    """Process ids of the parent's children by what they are."""
    found = {}
    for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
        words = Path(f"/proc/{child}/cmdline").read_text().split("\0")
        found["web" if "gunicorn" in words else "worker"] = int(child)
    return found


def below(pid: int) -> set[int]:
    """Process ids of all that descend from a process."""
    own: set[int] = set()
    with suppress(FileNotFoundError, ProcessLookupError):
        for path in Path(f"/proc/{pid}/task").glob("*/children"):
            own |= {int(child) for child in path.read_text().split()}
    return own.union(*(below(child) for child in own))


def draws(pid: int) -> bool:
    """Whether a process is one that another has begun afresh: the darkroom's."""
    with suppress(FileNotFoundError, ProcessLookupError):
        return "--multiprocessing-fork" in Path(f"/proc/{pid}/cmdline").read_text()
    return False


@pytest.fixture
def site(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], int]]:
    port = free_port()
    env = {
        **os.environ,
        "LEVELHEAD_VAR": str(tmp_path),
        "DATABASE_URL": f"sqlite:///{tmp_path}/site.sqlite3",
        "PORT": str(port),
    }
    for command in (["migrate", "-v0"], ["library", "-v0"]):
        subprocess.run(
            [sys.executable, "manage.py", *command], cwd=ROOT, env=env, check=True, stdout=subprocess.DEVNULL
        )
    parent = subprocess.Popen(
        [sys.executable, "-m", "trainer.config.serve"], cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True
    )
    yield parent, port
    parent.kill()
    parent.communicate()


def test_it_serves_and_stops_with_all_its_children(site: tuple[subprocess.Popen[str], int]) -> None:
    parent, port = site
    assert parent.stdout is not None
    said = [parent.stdout.readline() for _ in range(2)]
    assert f"http://localhost:{port}/" in said[1]
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/account/sign-in/") as reply:
        assert reply.status == 200
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/static/look/inks.css") as reply:
        assert reply.status == 200
    family = children(parent.pid)
    assert set(family) == {"web", "worker"}
    assert comes(lambda: any(map(draws, below(parent.pid))))
    everybody = below(parent.pid)
    (drawing,) = filter(draws, everybody)
    assert {os.getsid(pid) for pid in (drawing, *family.values())} == {os.getsid(parent.pid)}
    assert os.getpriority(os.PRIO_PROCESS, drawing) == max(NICE, os.nice(0))
    parent.send_signal(signal.SIGTERM)
    assert parent.wait() == 0
    assert comes(lambda: not any(Path(f"/proc/{pid}").exists() for pid in everybody))


def test_a_taken_port_is_said_so(tmp_path: Path) -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        env = {**os.environ, "LEVELHEAD_VAR": str(tmp_path), "PORT": str(holder.getsockname()[1])}
        done = subprocess.run(
            [sys.executable, "-m", "trainer.config.serve"], cwd=ROOT, env=env, capture_output=True, text=True
        )
    assert done.returncode == 1
    assert "is taken" in done.stderr
