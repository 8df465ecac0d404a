"""Pages of this room: what to do today, and one's own record."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_GET

from trainer.drills.models import Attempt, Entry
from trainer.library.skills import skill_name
from trainer.people.access import own
from trainer.people.offline import kept_offline
from trainer.progress.catch_up import RECORDS, catch_up
from trainer.progress.models import Cursor, Record
from trainer.progress.standing import RULE, standing_of
from trainer.progress.what_next import what_next

LAST = 3
BOOK = 50


@require_GET
@kept_offline
def today(request: HttpRequest) -> HttpResponse:
    """The first page: what this is, and one thing to do."""
    context: dict[str, Any] = {"page": "today"}
    if request.user.is_authenticated:
        _keep_up()
        mine = own(Attempt.objects.all(), request.user)
        context |= {
            "open": mine.filter(answer__isnull=True, void__isnull=True).order_by("-issued_at").first(),
            "recipe": what_next(request.user),
            "record": own(Record.objects.all(), request.user).exists(),
            "last": _graded(mine)[:LAST],
        }
    return render(request, "progress/today.html", context)


@login_required
@require_GET
def record(request: HttpRequest) -> HttpResponse:
    """Where one stands on the standard set, one's record per skill, and the graded attempts behind it."""
    _keep_up()
    rows = [
        {"name": skill_name(row.skill), "n": row.n, "mean": row.mean_credit, "last_at": row.last_at}
        for row in own(Record.objects.all(), request.user).order_by("skill")
    ]
    standing = standing_of(request.user, timezone.now()) if rows else None  # type: ignore[arg-type]
    attempts = _graded(own(Attempt.objects.all(), request.user))[:BOOK]
    context = {"page": "record", "rows": rows, "attempts": attempts, "standing": standing, "rule": RULE}
    return render(request, "progress/record.html", context)


def _keep_up() -> None:
    """Fold what is new in the ledger; look first, so that a page takes the writers' turn only when there is some."""
    folded = Cursor.objects.filter(name=RECORDS).values_list("entry", flat=True).first() or 0
    if Entry.objects.filter(pk__gt=folded).exists():
        catch_up()


def _graded(attempts: Any) -> Any:
    return attempts.filter(answer__isnull=False).select_related("answer__grade").order_by("-answer__received_at")


urlpatterns = [
    path("", today, name="today"),
    path("my-record/", record, name="record"),
]
