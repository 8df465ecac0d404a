"""`python -m trainer.config.serve`: the whole site as one command, a web process and a worker under one parent.

The parent starts both, says where the site answers, begins the worker again when it dies, and stops both when
it is stopped or when the web process ends.
"""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from types import FrameType

WAIT_FOR_WEB_S = 60.0
CALM_S = 2.0
"""A worker that died is begun again after this long."""
STOP_S = 20.0

Child = subprocess.Popen[bytes]


def web_command(bind: str) -> list[str]:
    """One process with eight threads: what the embedded database and one machine want."""
    return [
        sys.executable, "-m", "gunicorn", "trainer.config.wsgi",
        "--bind", bind, "--worker-class", "gthread", "--workers", "1", "--threads", "8",
        "--timeout", "30", "--max-requests", "2000", "--max-requests-jitter", "200",
        "--no-control-socket", "--log-level", "warning", "--config", "python:trainer.config.web",
    ]  # fmt: skip


def worker_command() -> list[str]:
    """One worker for all queued work, which makes way for the web process."""
    return ["nice", "-n", "10", sys.executable, "manage.py", "worker"]


class Stopped(Exception):
    """The parent was told to stop."""


def main() -> int:
    """Serve until stopped; returns the exit code of the web process, 0 when told to stop."""
    host, port = os.environ.get("HOST", "127.0.0.1"), int(os.environ.get("PORT", "8000"))

    def stop(number: int, frame: FrameType | None) -> None:
        raise Stopped

    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGINT, stop)
    if not port_is_free(host, port):
        print(f"Port {port} is taken. Choose another one: PORT={port + 1} make run", file=sys.stderr)
        return 1
    children: list[Child] = []
    try:
        web, worker = start(web_command(f"{host}:{port}")), start(worker_command())
        children = [web, worker]
        if wait_for(web, host, port):
            print(f"\nLevelhead answers at http://{'localhost' if host == '127.0.0.1' else host}:{port}/", flush=True)
            print("Stop it with Ctrl+C.", flush=True)
        while web.poll() is None:
            if worker.poll() is not None:
                time.sleep(CALM_S)
                worker = start(worker_command())
                children[1] = worker
            time.sleep(0.5)
        return web.returncode or 1
    except Stopped:
        return 0
    finally:
        end(children)


def start(command: list[str]) -> Child:
    """A child in a process group of its own, so that a key press stops it only through the parent.

    All stay in one session: Linux often shares its cores between sessions first, and minds priorities within one alone.
    """
    return subprocess.Popen(command, process_group=0)  # noqa: S603 - our own commands


def port_is_free(host: str, port: int) -> bool:
    """Whether nothing listens there yet."""
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def wait_for(web: Child, host: str, port: int) -> bool:
    """Wait until the web process gives a reply, whatever it says; False when it ended or took too long."""
    until = time.monotonic() + WAIT_FOR_WEB_S
    reach = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)  # noqa: S104 - compared, not bound
    while web.poll() is None and time.monotonic() < until:
        line = http.client.HTTPConnection(reach, port, timeout=WAIT_FOR_WEB_S)
        try:
            line.request("GET", "/")
            line.getresponse()
        except (OSError, http.client.HTTPException):
            time.sleep(0.1)
        else:
            return True
        finally:
            line.close()
    return False


def end(children: list[Child]) -> None:
    """Ask every child to stop, and stop those that do not."""
    for child in children:
        if child.poll() is None:
            child.terminate()
    for child in children:
        try:
            child.wait(timeout=STOP_S)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


if __name__ == "__main__":
    sys.exit(main())
