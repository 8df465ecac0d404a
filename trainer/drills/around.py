"""From plan to frame: on a graded case with stations, look round from any of them, and from the reference."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path
from django.views.decorators.http import require_safe

from trainer.drills.looking import address_of
from trainer.drills.models import Attempt
from trainer.drills.reading import read_by
from trainer.drills.stands import others, stands_of


@login_required
@require_safe
def look_round(request: HttpRequest, attempt_id: uuid.UUID, stand: str = "") -> HttpResponse:
    """A clean frame from one station of the case, the first when none is named, with the way to the others."""
    attempt: Attempt = get_object_or_404(read_by(request.user), pk=attempt_id)
    stands = stands_of(attempt)
    here = next((one for one in stands if stand in {"", one.name}), None)
    if here is None:
        raise Http404("There is no such station.")
    view = {
        "id": "view", "compare": "", "spots": [], "spots_most": 0,
        "pictures": [{
            "name": "frame", "what": "frame", "title": f"From {here.words.lower()}",
            "address": address_of(attempt, here.name),
        }],
    }  # fmt: skip
    units = str(getattr(request.user, "units", "m"))
    context = {
        "page": "drills", "attempt": attempt, "here": here, "stands": stands, "view": view,
        "others": others(stands, here, units), "level": attempt.public["plan"]["levels"][here.level]["name"],
    }  # fmt: skip
    return render(request, "drills/around.html", context)


urlpatterns = [
    path("attempts/<uuid:attempt_id>/round/", look_round, name="look_round"),
    path("attempts/<uuid:attempt_id>/round/<slug:stand>/", look_round, name="look_round_from"),
]
