"""Pages of the readiness check: open it, go on with it, give it up, see what came of it, sit beside somebody's."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from trainer.drills.check_beside import TooLate, bear_witness, checks_beside, sit_beside
from trainer.drills.check_case import CheckOver, open_case_of
from trainer.drills.check_open import OPEN_DAYS, REST_DAYS, TooSoon, next_check_from, open_check_of
from trainer.drills.issue import NotReady
from trainer.drills.models import Answer, Check, CheckEnd
from trainer.library.rules import rule_named, rules_for
from trainer.people.access import followed, own, people_trained_by
from trainer.people.models import Person
from trainer.people.offline import kept_offline
from trainer.progress.check_decide import can_be_asked, decided
from trainer.progress.check_next import begin_check, end_if_overdue, give_up, go_on
from trainer.progress.check_words import SHAPES, WORDS, beside, row, star_rows, why
from trainer.progress.why import minutes

PAST = 20


@login_required
@require_safe
@kept_offline
def check(request: HttpRequest) -> HttpResponse:
    """What a check is, or where the open one stands: how many are answered, and nothing of how they went."""
    now, person = timezone.now(), request.user
    going_on = open_check_of(person)  # type: ignore[arg-type]
    if going_on is not None:
        rule = rule_named(going_on.rule)
    else:
        rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]  # type: ignore[index,misc]
    context: dict[str, Any] = {
        "page": "check", "least": rule.check_least, "most": rule.check_most, "open_days": OPEN_DAYS,
        "least_at": round(100 * rule.check_least / rule.check_most),
        "minutes_least": minutes(rule.check_least), "minutes_most": minutes(rule.check_most),
        "trains": people_trained_by(person).exists(),
    }  # fmt: skip
    if going_on is not None:
        answered = Answer.objects.filter(attempt__check_case__readiness_check=going_on).count()
        waiting = open_case_of(going_on)
        context |= {
            "check": going_on, "answered": answered, "waiting": waiting, "cases": going_on.cases.count(),
            "check_until": going_on.opened_at + timedelta(days=OPEN_DAYS), "rest_days": REST_DAYS,
        }  # fmt: skip
        return render(request, "progress/check.html", context)
    past = own(Check.objects.filter(end__isnull=False), person).select_related("end", "supervised_by", "witness__by")
    free = next_check_from(person)  # type: ignore[arg-type]
    context |= {
        "past": [row(one) for one in past.order_by("-end__ended_at")[:PAST]],
        "free_on": free if free is not None and free > now else None,
    }
    return render(request, "progress/check_start.html", context)


@login_required
@require_POST
def open_one(request: HttpRequest) -> HttpResponse:
    """Open a check, or go back to the one that is open."""
    try:
        begin_check(request.user, timezone.now())  # type: ignore[arg-type]
    except TooSoon as later:
        messages.error(request, str(later))
    return redirect("check")


@login_required
@require_POST
def go(request: HttpRequest) -> HttpResponse:
    """The next case of the open check, or what came of it."""
    going_on, now = open_check_of(request.user), timezone.now()  # type: ignore[arg-type]
    if going_on is None:
        return redirect("check")
    if end_if_overdue(going_on, now):
        return redirect("check_done", check_id=going_on.pk)
    try:
        what = go_on(going_on, now)
    except NotReady as wait:
        return render(request, "progress/check_wait.html", {"page": "check", "words": str(wait)}, status=503)
    except CheckOver:
        return redirect("check")
    if isinstance(what, CheckEnd):
        return redirect("check_done", check_id=going_on.pk)
    return redirect("attempt", attempt_id=what.pk)


@login_required
@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Give the open check up."""
    going_on = open_check_of(request.user)  # type: ignore[arg-type]
    if going_on is None:
        return redirect("check")
    give_up(going_on, timezone.now())
    return redirect("check_done", check_id=going_on.pk)


@login_required
@require_safe
def done(request: HttpRequest, check_id: uuid.UUID) -> HttpResponse:
    """What came of a check: the outcome in words, its figures, every case; for the person and for who follows them."""
    over = followed(Check.objects.filter(end__isnull=False), request.user)
    found: Check = get_object_or_404(over.select_related("end", "person", "supervised_by", "witness__by"), pk=check_id)
    came_to = decided(found, can_be_asked())
    context = {
        "page": "check", "check": found, "end": found.end, "own": found.person_id == request.user.pk,
        "words": WORDS[found.end.outcome], "shape": SHAPES[found.end.outcome],
        "why": why(found, found.end, came_to.rule.cut_points), "beside": beside(found), "cut": came_to.rule.cut_points,
        "ready_at": came_to.rule.ready_chance, "not_ready_at": came_to.rule.not_ready_chance,
        "stars": star_rows(came_to), "cases": came_to.cases, "taken_out": found.end.count - len(came_to.cases),
        "rest_days": REST_DAYS,
        "may_say": found.supervised_by_id == request.user.pk and not hasattr(found, "witness"),
    }  # fmt: skip
    return render(request, "progress/check_done.html", context)


@login_required
@require_safe
def beside_list(request: HttpRequest) -> HttpResponse:
    """The open checks of the people one trains, and those one sat beside and has yet to speak about."""
    if not people_trained_by(request.user).exists():
        raise Http404("Nobody is trained by this visitor.")
    rows = checks_beside(request.user).select_related("supervised_by").order_by("-opened_at")
    answered = set(
        Answer.objects.filter(attempt__check_case__readiness_check__in=rows.filter(end__isnull=True))
        .values_list("attempt__check_case__readiness_check", flat=True)
        .distinct()
    )
    context = {
        "page": "trainer",
        "open": [{"check": one, "begun": one.pk in answered} for one in rows.filter(end__isnull=True)],
        "to_say": rows.filter(supervised_by=request.user.pk, end__isnull=False, witness__isnull=True),
    }
    return render(request, "progress/check_beside.html", context)


@login_required
@require_POST
def sit(request: HttpRequest, check_id: uuid.UUID) -> HttpResponse:
    """Say that one sits beside."""
    found: Check = get_object_or_404(checks_beside(request.user), pk=check_id)
    try:
        sit_beside(found, by=request.user, now=timezone.now())  # type: ignore[arg-type]
        messages.success(request, f"Noted: you sit beside {found.person} from the first case on.")
    except (TooLate, CheckOver) as error:
        messages.error(request, str(error))
    return redirect("check_beside")


@login_required
@require_POST
def witness(request: HttpRequest, check_id: uuid.UUID) -> HttpResponse:
    """Say how it went."""
    found: Check = get_object_or_404(checks_beside(request.user), pk=check_id)
    said = {"alone": True, "not alone": False}.get(request.POST.get("said", ""))
    if said is None:
        messages.error(request, "Press one of the two buttons.")
        return redirect("check_beside")
    try:
        bear_witness(found, by=request.user, alone=said, now=timezone.now())  # type: ignore[arg-type]
        messages.success(request, "Noted. It stands in the check.")
    except (TooLate, PermissionDenied) as error:
        messages.error(request, str(error))
    return redirect("check_beside")


urlpatterns = [
    path("check/", check, name="check"),
    path("check/open/", open_one, name="check_open"),
    path("check/next/", go, name="check_next"),
    path("check/give-up/", leave, name="check_give_up"),
    path("check/beside/", beside_list, name="check_beside"),
    path("check/<uuid:check_id>/", done, name="check_done"),
    path("check/<uuid:check_id>/beside/", sit, name="check_sit"),
    path("check/<uuid:check_id>/witness/", witness, name="check_witness"),
]
