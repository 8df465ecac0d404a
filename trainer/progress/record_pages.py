"""Pages of one's own readiness records: make one, print it, take it back. Nobody makes one for somebody else."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import ReadinessRecord
from trainer.progress.pages import keep_up
from trainer.progress.record_confirm import status_of
from trainer.progress.record_make import DAYS_LEAST, DAYS_MOST, DAYS_USUAL, RecordError, in_groups, make_record, revoke
from trainer.progress.record_pdf import NoPrinter, pdf_of
from trainer.progress.record_says import says, sheet_of

PAPERS = ("a4", "letter")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def readiness_record(request: HttpRequest) -> HttpResponse:
    """What a record made now would say, the form that makes it, and the records there are."""
    keep_up()
    now, person = timezone.now(), _person(request)
    problem = ""
    if request.method == "POST":
        try:
            made = make_record(
                person, by=person, consent=request.POST.get("consent") == "yes", expires_on=_day(request), now=now
            )
            return redirect("record_sheet", record_id=made.pk)
        except RecordError as error:
            problem = str(error)
    today = now.date()
    body = says(person, now)
    records = own(ReadinessRecord.objects.all(), person).order_by("-made_at")
    context = {
        "page": "record", "sheet": sheet_of(body), "empty": not body["count"], "problem": problem,
        "least": today + timedelta(days=DAYS_LEAST), "most": today + timedelta(days=DAYS_MOST),
        "usual": request.POST.get("expires_on") or (today + timedelta(days=DAYS_USUAL)).isoformat(),
        "records": [_row(one, today, body["state"]) for one in records],
    }  # fmt: skip
    return render(request, "progress/readiness_record.html", context, status=400 if problem else 200)


@login_required
@require_safe
def record_sheet(request: HttpRequest, record_id: uuid.UUID) -> HttpResponse:
    """One record as a sheet to print, with its code."""
    return render(request, "progress/record_sheet.html", {"page": "record", **sheet_context(request, record_id)})


@login_required
@require_safe
def record_pdf(request: HttpRequest, record_id: uuid.UUID, paper: str) -> HttpResponse:
    """The sheet as PDF, where the machine has what that takes."""
    context = sheet_context(request, record_id)
    try:
        data = pdf_of(context, paper)
    except NoPrinter as missing:
        return render(
            request, "progress/record_no_pdf.html", {"page": "record", "words": str(missing), **context}, status=501
        )
    name = f"readiness-record-{context['record'].made_at:%Y-%m-%d}.pdf"
    return HttpResponse(data, "application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'})


@login_required
@require_POST
def record_revoke(request: HttpRequest, record_id: uuid.UUID) -> HttpResponse:
    """Take a record back."""
    revoke(_own(request, record_id), by=_person(request), now=timezone.now())
    messages.success(request, "Revoked. Whoever asks by its code is told so, and nothing of what it said.")
    return redirect("readiness_record")


def sheet_context(request: HttpRequest, record_id: uuid.UUID) -> dict[str, Any]:
    """What the sheet of one's own record is made of. Raises Http404."""
    record = _own(request, record_id)
    return {
        "record": record,
        "sheet": sheet_of(record.body),
        "status": status_of(record, timezone.now().date()),
        "code": in_groups(record.code),
        "confirm_at": request.build_absolute_uri(reverse("confirm_record")),
    }


def _row(record: ReadinessRecord, today: date, state: str) -> dict[str, Any]:
    return {
        "record": record,
        "status": status_of(record, today),
        "sheet": sheet_of(record.body),
        "same": record.body["state"] == state,
        "code": in_groups(record.code),
    }


def _own(request: HttpRequest, record_id: uuid.UUID) -> ReadinessRecord:
    found: ReadinessRecord = get_object_or_404(own(ReadinessRecord.objects.all(), request.user), pk=record_id)
    return found


def _person(request: HttpRequest) -> Person:
    assert isinstance(request.user, Person)
    return request.user


def _day(request: HttpRequest) -> date:
    try:
        return date.fromisoformat(request.POST.get("expires_on", ""))
    except ValueError:
        raise RecordError("Choose the last day on which the record may be confirmed.") from None


urlpatterns = [
    path("readiness-record/", readiness_record, name="readiness_record"),
    path("readiness-record/<uuid:record_id>/", record_sheet, name="record_sheet"),
    path("readiness-record/<uuid:record_id>/sheet.pdf", record_pdf, {"paper": "a4"}, name="record_pdf"),
    path(
        "readiness-record/<uuid:record_id>/sheet-letter.pdf", record_pdf, {"paper": "letter"}, name="record_pdf_letter"
    ),
    path("readiness-record/<uuid:record_id>/revoke/", record_revoke, name="record_revoke"),
]
