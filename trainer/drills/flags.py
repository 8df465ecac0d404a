"""Pages of flagged cases: raise a flag, look at the whole case behind one, settle it, and report the recipe's fault."""

from __future__ import annotations

import json
import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.drill import AnswerError
from trainer.drills.flag import WORDS_MAX, FlagError, flag
from trainer.drills.ledger import grade_json, judge
from trainer.drills.models import Attempt, CaseVoid, Flag
from trainer.drills.reading import flags_for, read_by
from trainer.drills.regrade import compare
from trainer.drills.settle import AlreadySettled, firm_of_flag, let_stand, void_case
from trainer.library import shelf
from trainer.people.access import own, people_trained_by

ROWS = 200


@login_required
@require_POST
def raise_flag(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """Flag one's own graded attempt."""
    attempt: Attempt = get_object_or_404(own(Attempt.objects.all(), request.user), pk=attempt_id)
    try:
        flag(attempt, by=request.user, words=request.POST.get("words", ""), now=timezone.now())  # type: ignore[arg-type]
        messages.success(request, "Flagged. A trainer will look at the case.")
    except FlagError as error:
        messages.error(request, str(error))
    return redirect("graded", attempt_id=attempt.pk)


@login_required
@require_safe
def flags(request: HttpRequest) -> HttpResponse:
    """Flagged cases of the people one trains, those that wait first."""
    if not people_trained_by(request.user).exists():
        raise Http404("Nobody is trained by this visitor.")
    rows = flags_for(request.user).order_by("reply__made_at", "made_at")
    return render(request, "drills/flags.html", {"page": "trainer", "flags": _waiting_first(list(rows[:ROWS]))})


def _waiting_first(rows: list[Flag]) -> list[Flag]:
    return sorted(rows, key=lambda one: (hasattr(one, "reply"), one.made_at))


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def flagged(request: HttpRequest, flag_id: uuid.UUID) -> HttpResponse:
    """One flag with the whole case: parameters, key, answer, grade, and whether it is graded the same today."""
    found = _flag(request, flag_id)
    if request.method == "POST":
        return _settle(request, found)
    attempt = found.attempt
    context = {
        "page": "trainer",
        "flag": found,
        "attempt": attempt,
        "firm": firm_of_flag(found, request.user),  # type: ignore[arg-type]
        "alike": _alike(found, request),
        "changed": _changed(attempt),
        "facts": _facts(attempt),
        "key": json.dumps(attempt.key, indent=1, sort_keys=True, ensure_ascii=False),
        "body": json.dumps(attempt.answer.body, indent=1, sort_keys=True, ensure_ascii=False),
        "case_void": CaseVoid.objects.filter(
            firm=firm_of_flag(found, request.user), fingerprint=attempt.fingerprint  # type: ignore[arg-type]
        ).first(),
        "words_max": WORDS_MAX,
    }  # fmt: skip
    return render(request, "drills/flagged.html", context)


def _settle(request: HttpRequest, found: Flag) -> HttpResponse:
    what, words, now = request.POST.get("what"), request.POST.get("words", ""), timezone.now()
    try:
        if what == "stands":
            let_stand(found, by=request.user, words=words, now=now)  # type: ignore[arg-type]
            messages.success(request, "Kept: the case stands, and whoever flagged it sees your words.")
        elif what == "void":
            void_case(found, by=request.user, reason=words, now=now)  # type: ignore[arg-type]
            messages.success(request, "The case counts for nobody of the firm any more. Records follow at once.")
        else:
            messages.error(request, "Choose whether the case stands.")
    except (ValueError, AlreadySettled) as error:
        messages.error(request, str(error))
    return redirect("flagged", flag_id=found.pk)


@login_required
@require_safe
def fault_report(request: HttpRequest, flag_id: uuid.UUID) -> HttpResponse:
    """Everything by which whoever keeps the recipe can see the fault again; nothing about a person."""
    found = _flag(request, flag_id)
    attempt, reply = found.attempt, getattr(found, "reply", None)
    report = {
        "format": "levelhead-fault-report",
        "version": 1,
        **{fact["name"]: fact["value"] for fact in _facts(attempt)},
        "key": attempt.key,
        "answer": attempt.answer.body,
        "grade": attempt.answer.grade.body,
        "reason": reply.words if reply else "",
        "void": bool(reply and not reply.stands),
    }
    response = JsonResponse(report, json_dumps_params={"indent": 1, "ensure_ascii": False})
    response["Content-Disposition"] = f'attachment; filename="fault-{attempt.recipe}-{attempt.fingerprint[:8]}.json"'
    return response


def _facts(attempt: Attempt) -> list[dict[str, Any]]:
    names = ("recipe", "recipe_hash", "kind", "kit", "seed", "fingerprint", "standard", "standard_address", "engine",
             "difficulty_logit", "difficulty_sd", "guess_floor")  # fmt: skip
    return [{"name": name, "words": name.replace("_", " "), "value": getattr(attempt, name)} for name in names]


def _changed(attempt: Attempt) -> list[str] | None:
    """Where today's grade of the answer differs from the stored one; None where it cannot be computed any more."""
    try:
        today = grade_json(judge(attempt, attempt.answer.body, shelf.standard_at(attempt.standard_address)))
    except (AnswerError, LookupError, ValueError):
        return None
    return list(compare(attempt.answer.grade.body, today, ""))[:20]


def _alike(found: Flag, request: HttpRequest) -> dict[str, Any]:
    """How the people one trains did on this very case."""
    credits = list(
        read_by(request.user)
        .filter(fingerprint=found.attempt.fingerprint, answer__isnull=False, person__in=people_trained_by(request.user))
        .values_list("answer__grade__credit", flat=True)
    )
    return {"count": len(credits), "mean": sum(credits) / len(credits) if credits else 0.0}


def _flag(request: HttpRequest, flag_id: uuid.UUID) -> Flag:
    found: Flag = get_object_or_404(flags_for(request.user), pk=flag_id)
    return found


urlpatterns = [
    path("attempts/<uuid:attempt_id>/flag/", raise_flag, name="flag"),
    path("flags/", flags, name="flags"),
    path("flags/<uuid:flag_id>/", flagged, name="flagged"),
    path("flags/<uuid:flag_id>/report.json", fault_report, name="fault_report"),
]
