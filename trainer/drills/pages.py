"""Pages of this room: the drills on the shelf, an open attempt, its grade, and what another answer would be worth."""

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
from django.views.decorators.http import require_POST, require_safe

from scoring.drill import AnswerError
from trainer.drills.answer import AlreadyAnswered, KeyTaken, Voided, answer
from trainer.drills.check_case import CheckOver
from trainer.drills.check_open import open_check_of
from trainer.drills.feedback import kit_pictures, seam_rows, seam_spots, with_rows, with_scales
from trainer.drills.form import answer_of
from trainer.drills.frames import FrameCase, graded_view, is_frame_case, open_view, seams_deg, sorted_marks
from trainer.drills.issue import CheckGoesOn, NotReady, issue
from trainer.drills.ledger import grade_json, judge
from trainer.drills.models import Attempt, CheckCase, Grade
from trainer.drills.picture import Case, drawn, graded_layers, graded_sheets, open_sheets, sheet_data
from trainer.drills.reading import is_explained, own_open_alike, read_by, reason_for, unanswered
from trainer.library import shelf
from trainer.library.skills import groups_of, skill_name
from trainer.library.templatetags.sheet import points, verdict_word
from trainer.library.terms import Explained, terms_in
from trainer.people.access import own
from trainer.people.offline import kept_offline
from trainer.renders import seats

ROWS = {"place": 12, "join": 6, "stand": 1, "threshold": 1, "thin": 0}
"""Rows of the coordinates list where no script adds more."""
JSON_BYTES_MAX = 64 * 1024


@login_required
@require_safe
def drills(request: HttpRequest) -> HttpResponse:
    """Every recipe by the skill it practises, with a way to try its floor."""
    return render(request, "drills/drills.html", {"page": "drills", "groups": groups_of(shelf.recipes())})


@login_required
@require_POST
def start(request: HttpRequest, recipe: str, near_logit: float | None = None) -> HttpResponse:
    """Open an attempt, or go back to the one that is open; another room may say how difficult a case it wants."""
    person: Any = request.user
    try:
        issued = issue(person, recipe, Attempt.Mode.DRILL, timezone.now(), near_logit=near_logit)
    except shelf.NotOnShelf as missing:
        raise Http404(str(missing)) from None
    except NotReady as wait:
        return render(request, "drills/wait.html", {"words": str(wait), "recipe": recipe}, status=503)
    except CheckGoesOn as first:
        messages.info(request, str(first))
        return redirect("check")
    return redirect("attempt", attempt_id=issued.attempt.pk)


@login_required
@require_safe
@kept_offline
def attempt_page(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """An open attempt; a graded one shows its grade instead, and one that was taken out says why."""
    attempt = _own(request, attempt_id)
    if hasattr(attempt, "answer"):
        return redirect("graded", attempt_id=attempt.pk)
    if hasattr(attempt, "void"):
        reason = attempt.void.reason.rstrip(".")
        messages.info(request, f"This case was taken out of the record: {reason}. Start a new one.")
        return redirect("check" if attempt.mode == Attempt.Mode.CHECK else "drills")
    if attempt.mode == Attempt.Mode.CHECK and not unanswered(request.user).filter(pk=attempt.pk).exists():
        return redirect("check")
    return _open(request, attempt)


def _open(request: HttpRequest, attempt: Attempt, problem: str = "", status: int = 200) -> HttpResponse:
    if is_frame_case(attempt):
        return _open_frames(request, attempt, problem, status)
    case = Case.of(attempt)
    most = {"stand": 1, "threshold": 1}.get(attempt.kind, 40)
    context = {
        "page": "drills",
        "attempt": attempt,
        "case": case,
        "task": attempt.public,
        "sheets": open_sheets(case, _units(request)),
        "sheet_data": sheet_data(case.plan, len(case.given)),
        "problem": problem,
        "most": most,
        "rows": range(1, ROWS.get(attempt.kind, 0) + 1),
        "posted": request.POST,
        "units": _units(request),
        "kind_part": f"drills/kinds/{attempt.kind}.html",
        "kind_module": f"drills/{attempt.kind}.js",
        "skills": [skill_name(code) for code in case.skills],
        "edit": case.asks_stations,
        "check_place": _check_place(attempt),
    }
    return render(request, "drills/attempt.html", context, status=status)


def _open_frames(request: HttpRequest, attempt: Attempt, problem: str, status: int) -> HttpResponse:
    case = FrameCase.of(attempt)
    context = {
        "page": "drills",
        "attempt": attempt,
        "case": case,
        "task": attempt.public,
        "view": open_view(attempt, case),
        "seams": seams_deg(attempt.public["kit"]["headings"]) if case.frames[0]["what"] == "frame" else (),
        "problem": problem,
        "posted": request.POST,
        "units": _units(request),
        "kind_part": f"drills/kinds/{attempt.kind}.html",
        "kind_module": f"drills/{attempt.kind}.js",
        "check_place": _check_place(attempt),
        "terms": terms_in([attempt.public["task"], *(words for one in case.choices for _, words in one.options)]),
    }
    return render(request, "drills/frame_attempt.html", context, status=status)


@login_required
@require_POST
def send(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """Take an answer from the form, without scripts; the same verb as the API's."""
    attempt = _own(request, attempt_id)
    try:
        key = uuid.UUID(request.POST.get("client_key", ""))
    except ValueError:
        key = uuid.uuid4()
    now = timezone.now()
    try:
        sureness = {"1": 1, "2": 2, "3": 3}[request.POST.get("sureness", "")]
    except KeyError:
        return _open(request, attempt, "Say how sure you are: press one of the three buttons.", 400)
    try:
        body = (
            FrameCase.of(attempt).answer_of(request.POST)
            if is_frame_case(attempt)
            else answer_of(Case.of(attempt), request.POST, _units(request))
        )
        answer(attempt, client_key=key, body=body, sureness=sureness, answered_at=now, now=now)
    except AnswerError as error:
        return _open(request, attempt, str(error), 400)
    except Voided:
        return redirect("attempt", attempt_id=attempt.pk)
    except (AlreadyAnswered, KeyTaken, CheckOver) as refusal:
        messages.info(request, str(refusal))
    return redirect("graded", attempt_id=attempt.pk)


@login_required
@require_safe
def graded(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """The grade of an attempt with its picture; an open one goes to its form."""
    found = read_by(request.user).filter(pk=attempt_id).first()
    if found is None and (waiting := own_open_alike(request.user, attempt_id)) is not None:
        messages.info(request, "You were given the same case. Answer it first; then you can read how others did.")
        if waiting.mode == Attempt.Mode.CHECK:
            return redirect("check")
        return redirect("attempt", attempt_id=waiting.pk)
    if found is None:
        raise Http404("There is no such attempt.")
    attempt: Attempt = found
    grade = Grade.objects.select_related("answer").filter(answer__attempt=attempt).first()
    if grade is None:
        return redirect("attempt", attempt_id=attempt.pk)
    if not is_explained(attempt):
        return redirect("check")
    if is_frame_case(attempt):
        return _graded_frames(request, attempt, grade)
    case, units = Case.of(attempt), _units(request)
    stations = case.stations_of(grade.answer.body)
    context = {
        "page": "drills",
        "attempt": attempt,
        "case": case,
        "grade": grade.body,
        "answer": grade.answer,
        "sheets": graded_sheets(case, stations, grade.body, units),
        "units": units,
        "sheet_data": sheet_data(
            case.plan, len(case.given), [[s.level, s.x, s.y] for s in case.own_stations(grade.answer.body)]
        ),
        "skills": [skill_name(code) for code in case.skills],
        "answer_rest": {k: v for k, v in grade.answer.body.items() if k != "stations"},
        "what_if": case.asks_stations and attempt.person_id == request.user.pk,
        "void": hasattr(attempt, "void"),
        "void_reason": reason_for(attempt, request.user),
        "most": 1 if attempt.kind in {"stand", "threshold"} else 40,
        "drawn": drawn(grade.body),
    }
    return render(request, "drills/graded.html", context)


def _graded_frames(request: HttpRequest, attempt: Attempt, grade: Grade) -> HttpResponse:
    case = FrameCase.of(attempt)
    marks, alone = sorted_marks(grade.body["marks"]), case.frames[0]["what"] == "heading"
    seams = [] if alone else seam_rows(attempt)
    marks["numbers"] = with_scales(marks["numbers"], shelf.standard_at(attempt.standard_address))
    marks["advice"] = with_rows(marks["advice"])
    view = graded_view(attempt, case, grade.body)
    merged = next((one["name"] for one in view["pictures"] if one["what"] == "frame"), "frame")
    view["spots"] = [*view["spots"], *seam_spots(seams, merged)]
    context = {
        "page": "drills",
        "attempt": attempt,
        "case": case,
        "seams": seams,
        "seams_far": any(seam.far for seam in seams),
        "merged": merged,
        "kit_pictures": kit_pictures(attempt),
        "grade": grade.body,
        "answer": grade.answer,
        "said": case.said(grade.answer.body),
        "view": view,
        "units": _units(request),
        "skills": [skill_name(code) for code in case.skills],
        "void": hasattr(attempt, "void"),
        "void_reason": reason_for(attempt, request.user),
        "terms": Explained(),
        **marks,
    }
    return render(request, "drills/frame_graded.html", context)


@login_required
@require_POST
def what_if(request: HttpRequest, attempt_id: uuid.UUID) -> HttpResponse:
    """What another answer would be worth, as pieces of the page; nothing is kept."""

    attempt = _own(request, attempt_id)
    if not hasattr(attempt, "answer"):
        return JsonResponse({"detail": "Answer it first; then you can try other answers."}, status=409)
    if open_check_of(request.user) is not None:  # type: ignore[arg-type]
        return JsonResponse({"detail": "A check is open. Other answers can be tried when it is over."}, status=409)
    if len(request.body) > JSON_BYTES_MAX:
        return JsonResponse({"detail": "That is more than an answer can hold."}, status=413)
    if is_frame_case(attempt):
        words = "What if works on plans; look at the frame beside the clean one instead."
        return JsonResponse({"detail": words}, status=400)
    try:
        body = json.loads(request.body)["answer"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return JsonResponse({"detail": "That answer cannot be read."}, status=400)
    try:
        with seats.seat():
            return _tried(request, attempt, body)
    except AnswerError as error:
        return JsonResponse({"detail": str(error)}, status=400)
    except seats.NoSeat as full:
        return JsonResponse({"detail": str(full)}, status=503, headers={"Retry-After": str(seats.RETRY_AFTER_S)})


def _tried(request: HttpRequest, attempt: Attempt, body: Any) -> HttpResponse:
    case, units = Case.of(attempt), _units(request)
    found = grade_json(judge(attempt, body, shelf.standard_at(attempt.standard_address)))
    context = {"grade": found, "units": units, "case": case, "trial": True}
    return JsonResponse(
        {
            "layers": graded_layers(case, found, units),
            "said": f"What if: {verdict_word(found['verdict'])}, {points(found['credit'], 1.0)}.",
            "verdict": render(request, "drills/parts/verdict.html", context).content.decode(),
            "marks": render(request, "drills/parts/marks.html", context).content.decode(),
        }
    )


def _own(request: HttpRequest, attempt_id: uuid.UUID) -> Attempt:
    mine: Any = own(Attempt.objects.select_related("answer", "void"), request.user)
    found: Attempt = get_object_or_404(mine, pk=attempt_id)
    return found


def _check_place(attempt: Attempt) -> int:
    """Which case of a check it is; 0 outside of checks."""
    return CheckCase.objects.filter(attempt=attempt).values_list("place", flat=True).first() or 0


def _units(request: HttpRequest) -> str:
    return str(getattr(request.user, "units", "m"))


urlpatterns = [
    path("drills/", drills, name="drills"),
    path("drills/<slug:recipe>/start/", start, name="start"),
    path("attempts/<uuid:attempt_id>/", attempt_page, name="attempt"),
    path("attempts/<uuid:attempt_id>/send/", send, name="send"),
    path("attempts/<uuid:attempt_id>/grade/", graded, name="graded"),
    path("attempts/<uuid:attempt_id>/what-if/", what_if, name="what_if"),
]
