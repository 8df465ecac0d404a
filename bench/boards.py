"""The Team board of an owner with two thousand operators and two million ledger entries, as a browser asks for it.

`BENCH_ENTRIES` and `BENCH_PEOPLE` set the size. Before it is timed, every standing is told once, as the days before
would have done. The first view after a start is timed apart: it tells everybody's words, later ones keep them.
"""

from __future__ import annotations

import http.client
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bench import _ledger
from bench.rebuild import ENTRIES, PEOPLE
from bench.site import served, spread

LONG = True
"""Only when it is named."""
VIEWS = 60


def rows() -> Iterator[tuple[str, str, str]]:
    """First view, and p50 and p95 of the later ones over pages, filters and ticks."""
    with tempfile.TemporaryDirectory() as folder:
        _ledger.site(Path(folder))
        owner, *operators = _ledger.people(PEOPLE)
        _ledger.fill(operators, ENTRIES, seed=2)
        from django.contrib.sessions.backends.db import SessionStore
        from django.core.management import call_command
        from django.utils import timezone

        from trainer.people.models import Person
        from trainer.progress.catch_up import catch_up
        from trainer.progress.renew import fresh

        call_command("createcachetable", verbosity=0)
        catch_up()
        begun = time.process_time()
        fresh(Person.objects.all(), timezone.now().date())
        told_s = time.process_time() - begun
        session = SessionStore()
        session["_auth_user_id"] = str(owner.pk)
        session["_auth_user_backend"] = "allauth.account.auth_backends.AuthenticationBackend"
        session["_auth_user_hash"] = owner.get_session_auth_hash()
        session.save()
        sent = "&".join(f"send={one.pk}" for one in operators[:8])
        wheres = ["/team/", "/team/?page=7", "/team/?region=North", "/team/?state=in+training", f"/team/?{sent}"]
        with served(Path(folder), f"{folder}/ledger.sqlite3") as port:
            times = [_one(port, wheres[turn % len(wheres)], session.session_key or "") for turn in range(VIEWS + 1)]
        size = f"{PEOPLE:,} operators, {ENTRIES:,} entries".replace(",", " ")
        yield f"tell every standing once, {size}", f"{told_s:.0f} CPU s", f"{1000 * told_s / PEOPLE:.0f} ms each"
        yield f"Team board, first view, {size}", f"{1000 * times[0]:.0f} ms", "tells everybody's words"
        yield f"Team board, {size} ({VIEWS} views)", spread(times[1:]), "must 500 ms, reach 150 ms at p95"


def _one(port: int, where: str, session: str) -> float:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
    begun = time.perf_counter()
    line.request("GET", where, headers={"Cookie": f"sessionid={session}"})
    reply = line.getresponse()
    words = reply.read()
    took = time.perf_counter() - begun
    line.close()
    if reply.status != 200:
        raise RuntimeError(f"{where}: {reply.status} {words[:200]!r}")
    return took


if __name__ == "__main__":
    for row in rows():
        print(*row, sep=" | ")
