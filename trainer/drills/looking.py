"""Looking at the pictures of an attempt: which may be seen when, and under which names.

    key["takes"]      name -> the whole cause of a frame; stays on the server
    public["frames"]  name, title, what: the pictures that may be seen before the grade

A picture's name outside is a keyed hash of attempt and picture: random to whoever has not the site's key, another one
for every attempt, and the same when the page is opened again. After the grade every take of the case may be seen.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Iterator
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils.crypto import salted_hmac
from django.views.decorators.http import require_GET

from trainer.drills.models import Attempt
from trainer.people.access import own
from trainer.renders import frames
from trainer.renders.darkroom import RETRY_AFTER_S, Busy

TOKEN_CHARS = 32
CLEAN = "clean"
KEPT_S = 24 * 3600


def token(attempt: Attempt, name: str) -> str:
    """The picture's name in addresses: 128 bits that only this site can compute."""
    made = salted_hmac("picture of an attempt", f"{attempt.pk}/{name}", algorithm=hashlib.sha256().name)
    return made.hexdigest()[:TOKEN_CHARS]


def pictures_of(attempt: Attempt, graded: bool) -> Iterator[tuple[str, Any]]:
    """(name, take) of every picture that may be seen: the public ones, and after the grade all of the key's takes."""
    takes = attempt.key.get("takes", {})
    seen = []
    for one in attempt.public.get("frames", ()):
        seen.append(one["name"])
        yield one["name"], takes[take_name(one)]
    if graded:
        yield from ((name, take) for name, take in takes.items() if name not in seen)


def take_name(one: dict[str, Any]) -> str:
    """The take that a public picture is made from: a heading's is named beside it, else it is the frame's."""
    if one["what"] == "heading":
        return str(one.get("of", "frame"))
    return str(one["name"])


def address_of(attempt: Attempt, name: str) -> str:
    """The address of a picture without its part; parts are put behind it."""
    whole = reverse("picture", kwargs={"attempt_id": attempt.pk, "token": token(attempt, name), "part": "1024"})
    return whole.removesuffix("1024.jpg")


def view_of(attempt: Attempt, *, graded: bool, spots: list[dict[str, Any]] = (), spots_most: int = 0) -> dict[str, Any]:  # type: ignore[assignment]
    """What the viewer's template needs: pictures with their addresses, what to point at, how many spots to mark."""
    shown = [
        {"name": one["name"], "what": one["what"], "title": one["title"], "address": address_of(attempt, one["name"])}
        for one in attempt.public["frames"]
    ]
    if graded and CLEAN in attempt.key["takes"] and all(one["name"] != CLEAN for one in shown):
        shown.append({"name": CLEAN, "what": "frame", "title": "Clean", "address": address_of(attempt, CLEAN)})
    return {"id": "view", "pictures": shown, "spots": list(spots), "spots_most": spots_most}


def serve_part(take: Any, name: str, part_name: str) -> HttpResponse:
    """The picture as a reply: one kind of header for all of them. Raises Http404 for a part that there is not."""
    part = frames.Part.of(part_name)
    if part is None or not frames.fits(name, part):
        raise Http404("There is no such part.")
    try:
        body = frames.picture(take, name, part)
    except Busy:
        return HttpResponse(status=503, headers={"Retry-After": str(RETRY_AFTER_S), "Cache-Control": "no-store"})
    headers = {"Cache-Control": f"private, max-age={KEPT_S}, immutable", "Content-Disposition": "inline"}
    return HttpResponse(body, content_type="image/jpeg", headers=headers)


@login_required
@require_GET
def picture(request: HttpRequest, attempt_id: uuid.UUID, token: str, part: str) -> HttpResponse:
    """A picture of one's own attempt, or a tile of it."""
    mine: Any = own(Attempt.objects.select_related("answer"), request.user)
    attempt: Attempt = get_object_or_404(mine, pk=attempt_id)
    for name, take in pictures_of(attempt, hasattr(attempt, "answer")):
        if _same(token, attempt, name):
            return serve_part(take, name, part)
    raise Http404("There is no such picture.")


def _same(given: str, attempt: Attempt, name: str) -> bool:
    from django.utils.crypto import constant_time_compare

    return constant_time_compare(given, token(attempt, name))


urlpatterns = [path("attempts/<uuid:attempt_id>/frames/<slug:token>/<slug:part>.jpg", picture, name="picture")]

__all__ = ["address_of", "pictures_of", "serve_part", "take_name", "token", "view_of"]
