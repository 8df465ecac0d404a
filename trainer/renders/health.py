"""How the site itself is: two replies for whoever keeps it running, and a page of the work beside the pages for staff.

`/healthz` says that the process answers; `/readyz` that an answer could be stored now, that a worker is alive and
that there is room. Neither says what the site is made of.
"""

from __future__ import annotations

import logging
import shutil
import threading
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.db import Error, transaction
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from trainer.people.access import teams_led_by
from trainer.renders.alive import living
from trainer.renders.models import Result

LOOK_AGAIN_S = 2.0
"""Asked more often, the same reply is given: nobody keeps the database busy by asking."""
MIB = 1 << 20
LAST = 20
STATES = {
    "waiting": TaskResultStatus.READY,
    "under way": TaskResultStatus.RUNNING,
    "done": TaskResultStatus.SUCCESSFUL,
    "given up on": TaskResultStatus.FAILED,
}

log = logging.getLogger(__name__)
_looking = threading.Lock()
_seen: tuple[float, dict[str, bool]] | None = None


@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers."""
    return JsonResponse({"answers": True})


@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """Every part that an answer and its reference need: 200 when all are well, else 503."""
    global _seen
    with _looking:
        now = time.monotonic()
        if _seen is None or now - _seen[0] > LOOK_AGAIN_S:
            _seen = (now, look())
        parts = _seen[1]
    return JsonResponse(parts, status=200 if all(parts.values()) else 503)


def look() -> dict[str, bool]:
    """Part -> whether it is well, looked at now."""
    return {"database": takes_writes(), "worker": _well(lambda: living() > 0), "room": _well(has_room)}


def takes_writes() -> bool:
    """Whether the database takes a row; it is taken back."""

    def write() -> bool:
        with transaction.atomic():
            Result.objects.create(address="ready?", what="ready?", body={}, made_at=timezone.now())
            transaction.set_rollback(True)
        return True

    return _well(write)


def has_room() -> bool:
    """Whether there is room where the site writes."""
    return shutil.disk_usage(settings.VAR).free >= settings.ROOM_MIB * MIB


def _well(part: Callable[[], bool]) -> bool:
    try:
        return part()
    except (Error, OSError):
        log.exception("not ready")
        return False


@login_required
@require_safe
def work(request: HttpRequest) -> HttpResponse:
    """Live workers and what is queued, under way and given up on, for those who lead a team."""
    if not teams_led_by(request.user).exists():
        raise Http404
    rows = DBTaskResult.objects.all()
    counts = {words: rows.filter(status=status).count() for words, status in STATES.items()}
    failed = rows.filter(status=TaskResultStatus.FAILED).order_by("-finished_at")[:LAST]
    context = {
        "page": "work",
        "living": living(),
        "counts": counts,
        "under_way": [(_said(row), row.started_at) for row in rows.filter(status=TaskResultStatus.RUNNING)],
        "failed": [(_said(row), row.finished_at, row.traceback.strip().rsplit("\n", 1)[-1]) for row in failed],
        "parts": look(),
    }
    return render(request, "renders/work.html", context)


def _said(row: Any) -> str:
    """What a task does, and with what."""
    args = ", ".join(str(one)[:40] for one in row.args_kwargs.get("args", []))
    return f"{row.task_path.rsplit('.', 1)[-1].replace('_', ' ')}: {args}" if args else row.task_path.rsplit(".", 1)[-1]


urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("readyz", readyz, name="readyz"),
    path("work/", work, name="work"),
]
