"""Pages of what is held about oneself: all of it in words, as a file, and the way to have it erased."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from trainer.drills.erase import erase
from trainer.people.firm import keeps_evidence_of
from trainer.people.models import Person
from trainer.people.roles import PeopleError
from trainer.progress.held import held_about
from trainer.progress.held_file import held_file

LINES = 12


@login_required
@require_safe
def my_data(request: HttpRequest) -> HttpResponse:
    """All that is held about the visitor, in words."""
    return _shown(request)


def _shown(request: HttpRequest, problem: str = "") -> HttpResponse:
    person: Person = request.user  # type: ignore[assignment]
    told = held_about(person, LINES)
    context = {
        "page": "settings",
        "held": [one for one in told if one.count],
        "empty": [one for one in told if not one.count],
        "lines": LINES,
        "keeps": keeps_evidence_of(person),
        "problem": problem,
    }
    return render(request, "progress/my_data.html", context, status=400 if problem else 200)


@login_required
@require_safe
def my_data_file(request: HttpRequest) -> HttpResponse:
    """The same as a ZIP file."""
    now = timezone.now()
    reply = HttpResponse(held_file(request.user, now), content_type="application/zip")  # type: ignore[arg-type]
    reply["Content-Disposition"] = f'attachment; filename="levelhead-my-data-{now:%Y-%m-%d}.zip"'
    return reply


@login_required
@sensitive_post_parameters("password")
@require_POST
def my_data_erase(request: HttpRequest) -> HttpResponse:
    """Erase the visitor, who says so twice: by a tick and by the password."""
    person: Person = request.user  # type: ignore[assignment]
    if request.POST.get("sure") != "yes" or not person.check_password(request.POST.get("password", "")):
        return _shown(request, "Nothing was erased. Tick the box and enter your password.")
    try:
        erase(person, timezone.now())
    except PeopleError as error:
        return _shown(request, f"Nothing was erased. {error}")
    logout(request)
    messages.success(request, "You are erased.")
    return redirect("account_login")


urlpatterns = [
    path("my-data/", my_data, name="my_data"),
    path("my-data/file.zip", my_data_file, name="my_data_file"),
    path("my-data/erase/", my_data_erase, name="my_data_erase"),
]
