"""Pages of decisions and appeals: deciding about a person, asking to look again, answering that."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from trainer.people.access import people_decided_by, teams_decided_by
from trainer.people.models import Person
from trainer.roster import appeal as appealing
from trainer.roster import reply as replying
from trainer.roster.decide import REASON_MAX, SEND_DAYS_MAX, decide, in_force, newest_decision, open_choices, told
from trainer.roster.entry import EntryError, KeyTaken, key_of
from trainer.roster.models import Appeal
from trainer.roster.reply import appeals_to
from trainer.roster.way_back import page_of

GET_OR_POST = ("GET", "HEAD", "POST")


@login_required
@require_http_methods(GET_OR_POST)
def decide_page(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """Hold, release, or send anyway; what was typed stays when it is refused."""
    person = get_object_or_404(people_decided_by(request.user), pk=person_id)
    problem = ""
    if request.method == "POST":
        try:
            _decide(request, person)
        except (EntryError, KeyTaken) as error:
            problem = str(error)
        else:
            messages.success(request, f"Kept. {person} sees it, with your name and your reason.")
            return redirect(page_of(person, request.user))
    last = newest_decision(person, request.user)
    standing = in_force(person, request.user, timezone.now().date())
    context = {
        "page": "team",
        "person": person,
        "standing": standing,
        "standing_words": told(standing) if standing else "",
        "choices": [str(what) for what in open_choices(standing)],
        "seen": last.pk if last else "",
        "key": request.POST.get("key") or uuid.uuid4(),
        "posted": request.POST,
        "problem": problem,
        "reason_max": REASON_MAX,
        "days_max": SEND_DAYS_MAX,
    }
    return render(request, "roster/decide.html", context, status=400 if problem else 200)


def _decide(request: HttpRequest, person: Person) -> None:
    given = request.POST
    decide(
        person,
        by=request.user,  # type: ignore[arg-type]
        key=key_of(given.get("key")),
        what=given.get("what", ""),
        reason=given.get("reason", ""),
        until=day_of(given.get("until", "")),
        seen=_id_of(given.get("seen", "")),
        now=timezone.now(),
    )


def day_of(text: str) -> date | None:
    """The day of a form's field; None for an empty one. Raises EntryError for what is no day."""
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise EntryError("Give the day as year, month and day.") from None


def _id_of(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None


@login_required
@require_http_methods(GET_OR_POST)
def appeal_page(request: HttpRequest) -> HttpResponse:
    """One's own appeal; the form stands on My record, this page keeps the words when it is refused."""
    if request.method != "POST":
        return redirect("record")
    given, person = request.POST, request.user
    try:
        appealing.appeal(
            person,  # type: ignore[arg-type]
            key=key_of(given.get("key")),
            state=given.get("state", ""),
            words=given.get("words", ""),
            now=timezone.now(),
        )
    except (EntryError, KeyTaken) as error:
        context: dict[str, Any] = {"page": "record", "problem": str(error), "words": given.get("words", "")}
        context |= {"state": given.get("state", ""), "key": given.get("key") or uuid.uuid4()}
        return render(request, "roster/appeal.html", context, status=400)
    messages.success(request, "Sent. Whoever decides about you sees it, and the answer is shown on your record.")
    return redirect(page_of(person, person))  # type: ignore[arg-type]


@login_required
@require_safe
def appeals(request: HttpRequest) -> HttpResponse:
    """The appeals of those about whom one decides: what waits first."""
    if not teams_decided_by(request.user).exists():
        raise Http404("Nothing is decided by this visitor.")
    rows = appeals_to(request.user).select_related("person", "reply__by")
    waiting = rows.filter(reply__isnull=True).order_by("made_at", "pk")
    answered = rows.filter(reply__isnull=False).order_by("-reply__made_at", "pk")[:20]
    return render(request, "roster/appeals.html", {"page": "team", "waiting": waiting, "answered": answered})


@login_required
@require_http_methods(GET_OR_POST)
def reply_page(request: HttpRequest, appeal_id: uuid.UUID) -> HttpResponse:
    """Answer an appeal; deciding anew is the next step, on the same person's page."""
    mine = appeals_to(request.user).select_related("person", "reply__by")
    asked: Appeal = get_object_or_404(mine, pk=appeal_id)
    problem, words = "", request.POST.get("words", "")
    if request.method == "POST":
        try:
            replying.reply(asked, by=request.user, words=words, now=timezone.now())  # type: ignore[arg-type]
        except EntryError as error:
            problem = str(error)
        else:
            messages.success(request, f"Kept. {asked.person} sees your answer.")
            return redirect(page_of(asked.person, request.user))
    standing = in_force(asked.person, request.user, timezone.now().date())
    context = {
        "page": "team", "asked": asked, "problem": problem, "words": words, "standing": standing,
        "standing_words": told(standing) if standing else "",
    }  # fmt: skip
    return render(request, "roster/reply.html", context, status=400 if problem else 200)


urlpatterns = [
    path("people/<uuid:person_id>/decide/", decide_page, name="decide"),
    path("appeal/", appeal_page, name="appeal"),
    path("appeals/", appeals, name="appeals"),
    path("appeals/<uuid:appeal_id>/", reply_page, name="reply"),
]
