"""Pages of this room: what to do today, and one's own record."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from trainer.drills.check_open import open_check_of
from trainer.drills.models import Attempt, Entry
from trainer.drills.pages import start
from trainer.drills.reading import explained, unanswered
from trainer.library.shelf import recipes
from trainer.library.skills import skill_map
from trainer.people.access import operators_of, own, teams_led_by
from trainer.people.offline import kept_offline
from trainer.progress.asked import asked_for, done_of_given
from trainer.progress.behind import behind, evidence_on
from trainer.progress.catch_up import RECORDS, catch_up
from trainer.progress.day_set import todays_set
from trainer.progress.known import wanted_logit
from trainer.progress.models import Cursor, Record
from trainer.progress.record_of import record_of
from trainer.progress.what_next import what_next
from trainer.roster.about import about_person

LAST = 3
NEWEST = 10
BOOK = 50


@require_safe
@kept_offline
def today(request: HttpRequest) -> HttpResponse:
    """The first page: what this is, and one thing to do."""
    context: dict[str, Any] = {"page": "today"}
    if request.user.is_authenticated:
        keep_up()
        mine, now = own(Attempt.objects.all(), request.user), timezone.now()
        chosen = todays_set(request.user, now)
        context |= {
            "check": open_check_of(request.user),
            "open": unanswered(request.user).order_by("-issued_at").first(),
            "set": chosen,
            "recipe": what_next(request.user) if chosen is None else None,
            "record": own(Record.objects.all(), request.user).exists(),
            "asked": asked_for(request.user, now),
            "last": _graded(mine)[:LAST],
        }
        if not context["record"]:
            led = teams_led_by(request.user)
            context["nobody_yet"] = led.exists() and not operators_of(led).exists()
    return render(request, "progress/today.html", context)


@login_required
@require_POST
def set_start(request: HttpRequest, recipe: str) -> HttpResponse:
    """Open a drill of today's set at the difficulty that fits."""
    wanted = next((one for one in recipes() if one.name == recipe), None)
    if wanted is None:
        raise Http404(f"no drill {recipe!r}")
    keep_up()
    near = wanted_logit(request.user, wanted, timezone.now())  # type: ignore[arg-type]
    return start(request, recipe, near_logit=near)


@login_required
@require_safe
def record(request: HttpRequest) -> HttpResponse:
    """Where one stands, skill by skill, and what it rests on."""
    keep_up()
    now = timezone.now()
    attempts = _graded(own(Attempt.objects.all(), request.user))[:NEWEST]
    context: dict[str, Any] = {
        "page": "record",
        "record": record_of(request.user, now),  # type: ignore[arg-type]
        "own": True,
        "about": about_person(request.user, request.user, now, done_of_given(request.user, now)),  # type: ignore[arg-type]
        "on_day": now.date(),
        "attempts": attempts,
    }
    return render(request, "progress/record.html", context)


@login_required
@require_safe
def record_skill(request: HttpRequest, skill: str) -> HttpResponse:
    """One skill of one's record: what it asks for, and the graded attempts that say something of it."""
    if skill not in skill_map():
        raise Http404(f"no skill {skill!r}")
    keep_up()
    told = record_of(request.user, timezone.now())  # type: ignore[arg-type]
    part = Paginator(evidence_on(request.user, skill), BOOK).get_page(request.GET.get("part"))  # type: ignore[arg-type]
    context = {
        "page": "record",
        "record": told,
        "cell": next(cell for cell in told.cells if cell.code == skill),
        "count": next((row for row in told.counts if row.code == skill), None),
        "skill": skill_map()[skill],
        "part": part,
        "rows": behind(part.object_list),
    }
    return render(request, "progress/record_skill.html", context)


def keep_up() -> None:
    """Fold what is new in the ledger; look first, so that a page takes the writers' turn only when there is some."""
    folded = Cursor.objects.filter(name=RECORDS).values_list("entry", flat=True).first() or 0
    if Entry.objects.filter(pk__gt=folded).exists():
        catch_up()


def _graded(attempts: Any) -> Any:
    return explained(attempts).select_related("answer__grade").order_by("-answer__received_at")


urlpatterns = [
    path("", today, name="today"),
    path("today/<slug:recipe>/start/", set_start, name="set_start"),
    path("my-record/", record, name="record"),
    path("my-record/<slug:skill>/", record_skill, name="record_skill"),
]
