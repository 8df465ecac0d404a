"""From plan to frame: on a graded case with stations, look round from any of them, and from the reference."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path
from django.views.decorators.http import require_safe

from trainer.drills.looking import address_of, clean_from
from trainer.drills.models import Attempt
from trainer.drills.reading import read_by
from trainer.drills.stands import Stand, others, stands_of
from trainer.library.shelf import NotOnShelf
from trainer.renders.clean import PlaceError


@login_required
@require_safe
def look_round(request: HttpRequest, attempt_id: uuid.UUID, stand: str = "") -> HttpResponse:
    """A clean frame from one station of the case, the first when none is named, with the way to the others.

    Where no tripod stands there is no frame: the page says why.
    """
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
        "no_frame": _no_frame(attempt, here), "others": others(stands, here, units),
        "level": attempt.public["plan"]["levels"][here.level]["name"],
    }  # fmt: skip
    return render(request, "drills/around.html", context)


def _no_frame(attempt: Attempt, here: Stand) -> str:
    """Why there is no frame from a station, in words; "" where there is one."""
    try:
        clean_from(attempt, here)
    except PlaceError as error:
        return f"No tripod stands here: {error}."
    except NotOnShelf as error:
        return f"No frame can be made: {error}."
    return ""


urlpatterns = [
    path("attempts/<uuid:attempt_id>/round/", look_round, name="look_round"),
    path("attempts/<uuid:attempt_id>/round/<slug:stand>/", look_round, name="look_round_from"),
]
