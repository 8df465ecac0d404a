"""The whole site as one command: it says where it answers, begins a dead worker again, and leaves nothing behind."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

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


@pytest.fixture
def site(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], int]]:
    port = free_port()
    env = {
        **os.environ,
        "LEVELHEAD_VAR": str(tmp_path),
        "DATABASE_URL": f"sqlite:///{tmp_path}/site.sqlite3",
        "PORT": str(port),
    }
    subprocess.run([sys.executable, "manage.py", "migrate", "-v0"], cwd=ROOT, env=env, check=True)
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
    parent.send_signal(signal.SIGTERM)
    assert parent.wait() == 0
    assert not [pid for pid in family.values() if Path(f"/proc/{pid}").exists()]


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
