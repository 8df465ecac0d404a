"""The page of one person, for those who follow them."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.people.access import own, people_followed_by
from trainer.progress.asked import done_of_given
from trainer.progress.boards.need import need_of
from trainer.progress.pages import keep_up
from trainer.progress.record_of import record_of
from trainer.progress.standings import forecast
from trainer.roster.about import about_person

BOOK = 50
FORECAST_DAYS = 60
FORECAST_MOST_DAYS = 730


@login_required
@require_safe
def person(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """State and why, what it would take, the record, a forecast, and every graded attempt."""
    someone = get_object_or_404(people_followed_by(request.user), pk=person_id)
    if someone == request.user:
        return redirect("record")
    keep_up()
    now = timezone.now()
    record = record_of(someone, now, request.user)
    on = _day(request.GET.get("on", ""), now.date())
    attempts = explained(own(Attempt.objects.all(), someone)).select_related("answer__grade", "void")
    context = {
        "page": "team",
        "person": someone,
        "about": about_person(request.user, someone, now, done_of_given(someone, now)),
        "record": record,
        "now": record.now,
        "need": need_of(record.now),
        "on": on,
        "forecast": forecast(someone, on),
        "today": now.date(),
        "on_day": now.date(),
        "own": False,
        "attempts": attempts.order_by("-answer__received_at")[:BOOK],
        "most": BOOK,
    }
    return render(request, "progress/boards/person.html", context)


def _day(text: str, today: date) -> date:
    """The day asked for; some weeks on where none can be read, or one that is gone or too far."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = today + timedelta(days=FORECAST_DAYS)
    return min(max(day, today), today + timedelta(days=FORECAST_MOST_DAYS))


urlpatterns = [path("people/<uuid:person_id>/", person, name="person")]
