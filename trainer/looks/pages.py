"""Pages of this room: choose a frame, read its look, keep it, delete it again.

form  --look (child process)-->  held for ten minutes  --keep-->  kept, for its person alone  --delete-->  gone
"""

from __future__ import annotations

import secrets
import uuid
from threading import BoundedSemaphore
from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from trainer.library import shelf
from trainer.looks import limits
from trainer.looks.drawing import groups
from trainer.looks.held import held, hold, let_go, token_of
from trainer.looks.intake import FIELD, LookRate, OneFrame, too_large
from trainer.looks.measuring import NotMeasured, measure
from trainer.looks.models import Look
from trainer.looks.words import notes, refusal, rows
from trainer.people.access import own
from trainer.people.models import Person

HEADINGS = ("3", "4", "5", "6", "8")
OTHERS = "Others are having frames looked at just now. Try again in a moment."
at_once = BoundedSemaphore(limits.AT_ONCE)
taken_in = BoundedSemaphore(limits.TAKEN_IN)


@login_required
@require_safe
def own_frame(request: HttpRequest) -> HttpResponse:
    """Choose a file, with the cautions, and what is kept."""
    return _form(request)


def _form(request: HttpRequest, problem: str = "", status: int = 200) -> HttpResponse:
    context = {
        "page": "drills",
        "problem": problem,
        "headings": HEADINGS,
        "kept": own(Look.objects.defer("picture", "body"), request.user).order_by("-made_at"),
        "jpeg_mp": limits.JPEG_MAX_PX // 1_000_000,
        "other_mp": limits.DECODED_MAX_PX // 1_000_000,
        "file_mb": limits.FILE_MAX_BYTES // 1_000_000,
        "file_bytes": limits.FILE_MAX_BYTES,
    }
    return render(request, "looks/own_frame.html", context, status=status)


@csrf_exempt
@login_required
@require_POST
def take_look(request: HttpRequest) -> HttpResponse:
    """Measure a file. Its size, the person's rate and whether there is room are judged before a byte of it is read."""
    # The token is checked inside: checking it reads the whole request, which must not happen before these three.
    if too_large(request):
        return _form(request, refusal("too-many-bytes", {"limit_mb": limits.FILE_MAX_BYTES // 1_000_000}), 413)
    if not LookRate().allow_request(request, None):  # type: ignore[arg-type]
        return _form(request, "That is more than this site looks at in a minute. Wait a little and try again.", 429)
    if not taken_in.acquire(blocking=False):
        return _form(request, OTHERS, 503)
    try:
        request.upload_handlers = [OneFrame(request)]
        checked: HttpResponse = _take_look(request)
        return checked
    finally:
        taken_in.release()


@csrf_protect
def _take_look(request: HttpRequest) -> HttpResponse:
    file = request.FILES.get(FIELD)
    if not isinstance(file, UploadedFile) or file.file is None:
        return _form(request, "Choose a file first.", 400)
    with file.file as opened:
        if not at_once.acquire(timeout=limits.WAIT_S):
            return _form(request, OTHERS, 503)
        headings = request.POST.get("headings", "")
        try:
            measured = measure(opened, file.name or "", int(headings) if headings in HEADINGS else None)
        except NotMeasured as refused:
            return _form(request, refusal(refused.code, refused.facts), 400)
        finally:
            at_once.release()
    hold(_person(request), secrets.token_urlsafe(16), (file.name or "")[:80], measured)
    return redirect("own_frame_held")


@login_required
@require_safe
def held_look(request: HttpRequest) -> HttpResponse:
    """The look just taken; back to the form when it is gone."""
    person = _person(request)
    now = held(person)
    if now is None:
        return redirect("own_frame")
    more = {
        "picture": reverse("own_frame_held_picture"),
        "token": token_of(person),
        "file_name": now.name,
        "minutes": limits.HELD_S // 60,
        "full": own(Look.objects.all(), request.user).count() >= limits.KEPT_MAX,
    }
    return _look_page(request, now.body, more)


@login_required
@require_safe
def held_picture(request: HttpRequest) -> HttpResponse:
    """The picture of the look just taken."""
    now = held(_person(request))
    return HttpResponse(status=410) if now is None else _picture(now.picture)


@login_required
@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """Keep the look just taken: its numbers, and its picture when asked."""
    person = _person(request)
    now = held(person, request.POST.get("token", ""))
    if now is None:
        messages.info(request, "That look is gone. Choose the file again to look once more.")
        return redirect("own_frame")
    if own(Look.objects.all(), request.user).count() >= limits.KEPT_MAX:
        messages.info(request, f"You keep {limits.KEPT_MAX} looks already. Delete some first.")
        return redirect("own_frame_held")
    made = Look.objects.create(
        person=person,
        note=request.POST.get("note", "").strip()[:80],
        body=now.body,
        picture=now.picture if request.POST.get("picture") == "yes" else None,
        made_at=timezone.now(),
    )
    let_go(person)
    return redirect("own_frame_kept", look_id=made.pk)


@login_required
@require_POST
def discard(request: HttpRequest) -> HttpResponse:
    """Forget the look just taken, now."""
    let_go(_person(request))
    messages.info(request, "Nothing of that look is held any more.")
    return redirect("own_frame")


@login_required
@require_safe
def kept_look(request: HttpRequest, look_id: uuid.UUID) -> HttpResponse:
    """A look that was kept."""
    look = _own(request, look_id)
    picture = reverse("own_frame_kept_picture", args=[look.pk]) if look.picture is not None else ""
    return _look_page(request, look.body, {"kept": look, "picture": picture})


@login_required
@require_safe
def kept_picture(request: HttpRequest, look_id: uuid.UUID) -> HttpResponse:
    """The picture that was kept; gone when only the numbers were."""
    look = _own(request, look_id)
    return HttpResponse(status=410) if look.picture is None else _picture(bytes(look.picture))


@login_required
@require_POST
def delete(request: HttpRequest, look_id: uuid.UUID) -> HttpResponse:
    """Delete a look that was kept, picture and numbers."""
    _own(request, look_id).delete()
    messages.info(request, "The look is deleted, its numbers and its picture.")
    return redirect("own_frame")


def _look_page(request: HttpRequest, body: dict[str, Any], more: dict[str, Any]) -> HttpResponse:
    standard, _ = shelf.house_standard()
    found = rows(body["look"], standard.frames)
    drawn = groups(body["look"], [row.key for row in found])
    context = {
        "page": "drills",
        "file": body["file"],
        "notes": notes(body["file"]),
        "rows": found,
        "groups": drawn,
        "drawn": {group.key for group in drawn},
        "standard": standard.version,
        **more,
    }
    return render(request, "looks/look.html", context)


def _picture(jpeg: bytes) -> HttpResponse:
    return HttpResponse(
        jpeg, content_type="image/jpeg", headers={"Content-Disposition": 'inline; filename="frame.jpg"'}
    )


def _person(request: HttpRequest) -> Person:
    return cast(Person, request.user)


def _own(request: HttpRequest, look_id: uuid.UUID) -> Look:
    mine: Any = own(Look.objects.all(), request.user)
    found: Look = get_object_or_404(mine, pk=look_id)
    return found


urlpatterns = [
    path("own-frame/", own_frame, name="own_frame"),
    path("own-frame/look/", take_look, name="own_frame_look"),
    path("own-frame/held/", held_look, name="own_frame_held"),
    path("own-frame/held/frame.jpg", held_picture, name="own_frame_held_picture"),
    path("own-frame/held/keep/", keep, name="own_frame_keep"),
    path("own-frame/held/discard/", discard, name="own_frame_discard"),
    path("own-frame/<uuid:look_id>/", kept_look, name="own_frame_kept"),
    path("own-frame/<uuid:look_id>/frame.jpg", kept_picture, name="own_frame_kept_picture"),
    path("own-frame/<uuid:look_id>/delete/", delete, name="own_frame_delete"),
]
