"""The whole site under thirty busy people: one web process with eight threads and the embedded database.

Every person looks at a page and answers an attempt of a two-bedroom flat with six stations, every ten seconds;
replies are timed at the client. The peer of the same run is the forgotten-password page, which computes nothing.
"""

from __future__ import annotations

import http.client
import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
PEOPLE = 30
ANSWERS_EACH = 3
PAUSE_S = 10.0
FLOOR = "two-bedroom-corner-hall"
STATIONS = [(2.0, 1.5), (4.5, 1.5), (6.0, 3.0), (2.0, 4.5), (4.5, 4.5), (7.5, 1.5)]


def rows() -> Iterator[tuple[str, str, str]]:
    """Median and 95th percentile of an answer's reply and of a page, while everybody is at it."""
    with tempfile.TemporaryDirectory() as folder:
        visits = prepare(Path(folder))
        with served(Path(folder)) as port:
            times = at_once(port, visits)
    page, answer = times["page"], times["answer"]
    ratio = statistics.median(answer) / statistics.median(page)
    against = f"must 400 ms, reach 120 ms at p95; {ratio:.1f} times a page that computes nothing"
    yield f"grade POST, {PEOPLE} busy people ({len(answer)} answers)", spread(answer), against
    yield (
        f"forgotten-password page, {PEOPLE} busy people ({len(page)} views)",
        spread(page),
        "must 400 ms, reach 120 ms at p95",
    )


def spread(times_s: list[float]) -> str:
    """Median and 95th percentile in milliseconds."""
    p95 = statistics.quantiles(times_s, n=20)[-1]
    return f"p50 {1000 * statistics.median(times_s):.0f} ms, p95 {1000 * p95:.0f} ms"


def prepare(folder: Path) -> list[dict[str, Any]]:
    """A site with thirty signed-in people who have open attempts; what each of them needs to come in."""
    os.environ.update(environment(folder))
    os.environ["DJANGO_SETTINGS_MODULE"] = "trainer.config.settings"
    import django

    django.setup()
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command
    from django.utils import timezone

    from trainer.drills.models import Attempt
    from trainer.library.desk import DEFAULT_KIT, desk, plain_task
    from trainer.library.shelf import house_standard
    from trainer.people.models import Person

    call_command("migrate", verbosity=0)
    call_command("library", stdout=StringIO())
    task = plain_task(desk(FLOOR, DEFAULT_KIT, "house"))
    _, standard_address = house_standard()
    visits = []
    for number in range(PEOPLE):
        person = Person.objects.create(email=f"p{number}@levelhead.example", name=f"Person {number}")
        session = SessionStore()
        session["_auth_user_id"] = str(person.pk)
        session["_auth_user_backend"] = "allauth.account.auth_backends.AuthenticationBackend"
        session["_auth_user_hash"] = person.get_session_auth_hash()
        session.save()
        attempts = [
            Attempt.objects.create(
                person=person, mode="drill", kind=task.kind, recipe=task.recipe, recipe_hash=task.recipe_hash,
                kit=DEFAULT_KIT, seed=task.seed, engine=task.engine, standard=task.standard,
                standard_address=standard_address, public=task.public, key=task.key,
                difficulty_logit=task.difficulty_logit, difficulty_sd=task.difficulty_sd,
                guess_floor=task.guess_floor, fingerprint=task.fingerprint, issued_at=timezone.now(),
            ).pk
            for _ in range(ANSWERS_EACH)
        ]  # fmt: skip
        visits.append({"session": session.session_key, "attempts": attempts})
    return visits


def environment(folder: Path, database: str = "") -> dict[str, str]:
    """Where the site of the bench keeps its things."""
    return {"LEVELHEAD_VAR": str(folder), "DATABASE_URL": f"sqlite:///{database or f'{folder}/bench.sqlite3'}"}


@contextmanager
def served(folder: Path, database: str = "") -> Iterator[int]:
    """The web process as `make run` starts it; yields its port."""
    from trainer.config.serve import wait_for, web_command

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    web = subprocess.Popen(
        web_command(f"127.0.0.1:{port}"), cwd=ROOT, env={**os.environ, **environment(folder, database)}
    )
    try:
        assert wait_for(web, "127.0.0.1", port)
        yield port
    finally:
        web.terminate()
        web.wait()


def at_once(port: int, visits: list[dict[str, Any]]) -> dict[str, list[float]]:
    """Everybody at the same time; the time of every reply [s]."""
    times: dict[str, list[float]] = {"page": [], "answer": []}
    start = threading.Barrier(len(visits))

    def be_busy(visit: dict[str, Any], number: int) -> None:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        token = "x" * 32
        headers = {
            "Cookie": f"sessionid={visit['session']}; csrftoken={token}",
            "X-CSRFToken": token,
            "Content-Type": "application/json",
        }
        start.wait()
        time.sleep(PAUSE_S * number / len(visits))
        for attempt in visit["attempts"]:
            body = json.dumps(
                {
                    "client_key": str(uuid.uuid4()),
                    "answer": {"stations": [{"level": 0, "x": x, "y": y} for x, y in STATIONS]},
                    "sureness": 2,
                    "answered_at": "2026-03-01T10:00:00Z",
                }
            )
            for what, method, where, sent in (
                ("page", "GET", "/account/password/forgotten/", None),
                ("answer", "PUT", f"/api/attempts/{attempt}/answer/", body),
            ):
                # A line of its own for each request: the server ends those that were silent for a while.
                line.close()
                begun = time.perf_counter()
                line.request(method, where, sent, headers)
                reply = line.getresponse()
                words = reply.read()
                times[what].append(time.perf_counter() - begun)
                if reply.status != 200:
                    raise RuntimeError(f"{what}: {reply.status} {words[:200]!r}")
            time.sleep(PAUSE_S)

    threads = [threading.Thread(target=be_busy, args=(visit, number)) for number, visit in enumerate(visits)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return times


if __name__ == "__main__":
    for row in rows():
        print(*row, sep=" | ")
    sys.exit(0)
