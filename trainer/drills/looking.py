"""Looking at the pictures of an attempt: which may be seen when, and under which names.

    key["takes"]      name -> the whole cause of a frame; stays on the server
    public["frames"]  name, title, what: the pictures that may be seen before the grade

A picture's name outside is a keyed hash of attempt and picture: random to whoever has not the site's key, another one
for every attempt, and the same when the page is opened again. After the grade every take of the case may be seen.
"""

from __future__ import annotations

import hashlib
import uuid
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from django.views.decorators.http import require_safe

from trainer.drills.models import Attempt
from trainer.drills.picture import Case
from trainer.drills.reading import is_explained, read_by
from trainer.drills.stands import Stand, stands_of
from trainer.library import shelf
from trainer.renders.clean import PlaceError, clean_take
from trainer.renders.serving import served

TOKEN_CHARS = 32


def name_outside(attempt: Attempt, name: str) -> str:
    """The picture's name in addresses: 128 bits that only this site can compute."""
    made = salted_hmac("picture of an attempt", f"{attempt.pk}/{name}", algorithm=hashlib.sha256().name)
    return made.hexdigest()[:TOKEN_CHARS]


def take_for(attempt: Attempt, name_given: str, graded: bool) -> tuple[str, Any] | None:
    """(name, take) of the picture of that outside name, if it may be seen; None otherwise.

    Before the grade: the public pictures. After it: every take of the key, each heading with nothing wrong, and a clean
    frame from each station.
    """
    takes = attempt.key.get("takes", {})
    shown = {one["name"]: takes[take_name(one)] for one in attempt.public.get("frames", ())}
    if graded:
        shown = {**takes, **shown}
    for name, take in shown.items():
        if constant_time_compare(name_given, name_outside(attempt, name)):
            return name, take
    for name in [name for name in shown if name.startswith("heading-") and "clean" in takes] if graded else ():
        if constant_time_compare(name_given, name_outside(attempt, clean_heading(name))):
            return name, takes["clean"]
    for stand in stands_of(attempt) if graded else ():
        if constant_time_compare(name_given, name_outside(attempt, stand.name)):
            try:
                return "frame", clean_from(attempt, stand)
            except (PlaceError, shelf.NotOnShelf) as error:
                raise Http404(str(error)) from None
    return None


def clean_from(attempt: Attempt, stand: Stand) -> Any:
    """The take of a clean spin at a station. Raises PlaceError where no tripod stands, NotOnShelf without its kit."""
    return clean_take(Case.of(attempt).plan, shelf.kit(attempt.kit), stand.level, stand.x, stand.y)


def take_name(one: dict[str, Any]) -> str:
    """The take that a public picture is made from: a heading's is named beside it, else it is the frame's."""
    if one["what"] == "heading":
        return str(one.get("of", "frame"))
    return str(one["name"])


def clean_heading(name: str) -> str:
    """What the same heading with nothing wrong is called: "heading-2" -> "clean-heading-2"."""
    return f"clean-{name}"


def address_of(attempt: Attempt, name: str) -> str:
    """The address of a picture without its part; parts are put behind it."""
    whole = reverse("picture", kwargs={"attempt_id": attempt.pk, "token": name_outside(attempt, name), "part": "1024"})
    return whole.removesuffix("1024.jpg")


@login_required
@require_safe
def picture(request: HttpRequest, attempt_id: uuid.UUID, token: str, part: str) -> HttpResponse:
    """A picture of an attempt that may be read, or a tile of it."""
    attempt: Attempt = get_object_or_404(read_by(request.user), pk=attempt_id)
    found = take_for(attempt, token, is_explained(attempt))
    if found is None:
        raise Http404("There is no such picture.")
    name, take = found
    return served(take, name, part, str(request.user.pk))


urlpatterns = [path("attempts/<uuid:attempt_id>/frames/<slug:token>/<slug:part>.jpg", picture, name="picture")]

__all__ = ["address_of", "clean_from", "clean_heading", "name_outside", "take_for", "take_name"]
