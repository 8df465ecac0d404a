"""The public page that confirms or denies a readiness record by its code."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from trainer.people.tries import Limit, address_of, may_try
from trainer.progress.pages import keep_up
from trainer.progress.record_confirm import confirm
from trainer.progress.record_make import CODE_CHARS, in_groups

TRIES_A_MINUTE = 20
CODES = Limit("codes", TRIES_A_MINUTE, 60)
TYPED_MOST = 40
"""So many letters of what was typed go on to the code's own page, and back into the form."""
SHAPES = {"stands": "holds", "revoked": "fails", "expired": "look-again"}


@require_http_methods(["GET", "HEAD", "POST"])
def confirm_record(request: HttpRequest) -> HttpResponse:
    """The form for a code; what is typed goes to the code's own page."""
    typed = "".join(request.POST.get("code", "").split()).replace("-", "")
    if typed and typed.isascii() and typed.isalnum():
        return redirect("record_confirmed", check_code=typed[:TYPED_MOST].upper())
    context = {"page": "confirm", "problem": "Type the code as it is printed." if request.method == "POST" else ""}
    return render(request, "progress/confirm.html", context, status=400 if context["problem"] else 200)


@require_safe
def record_confirmed(request: HttpRequest, check_code: str) -> HttpResponse:
    """What a code stands for. Every code that no record has is answered alike."""
    now = timezone.now()
    if not may_try(CODES, address_of(request), now):
        reply = render(request, "progress/confirm_later.html", {"page": "confirm"}, status=429)
        reply.headers["Retry-After"] = "60"
        return reply
    keep_up()
    found = confirm(check_code, now)
    if found is None:
        context = {"page": "confirm", "code": in_groups(check_code.replace("-", "")[:TYPED_MOST]), "chars": CODE_CHARS}
        return render(request, "progress/confirm_unknown.html", context, status=404)
    # A tick is for who is ready, not for a paper that is real.
    unready = found.sheet is not None and not (found.same and found.sheet["state"] == "ready")
    context = {
        "page": "confirm", "found": found, "record": found.record, "sheet": found.sheet, "same": found.same,
        "shape": "look-again" if unready else SHAPES[found.status], "code": in_groups(found.record.code),
    }  # fmt: skip
    reply = render(request, "progress/confirmed.html", context)
    reply.headers["X-Robots-Tag"] = "noindex"
    return reply


urlpatterns = [
    path("confirm/", confirm_record, name="confirm_record"),
    path("confirm/<slug:check_code>/", record_confirmed, name="record_confirmed"),
]
