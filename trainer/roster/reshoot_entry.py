"""Pages that enter: a reshoot, the strike of one, the jobs of a month. For those who lead."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from trainer.library.own import kits_for
from trainer.people.access import of_teams_led, operators_of
from trainer.people.models import Person, Team
from trainer.roster import log_reshoot as log
from trainer.roster.causes import causes
from trainer.roster.count_jobs import JOBS_MOST, count_jobs, jobs_by_month, month_of
from trainer.roster.entry import EntryError, KeyTaken, key_of, said
from trainer.roster.models import JobCount, Reshoot
from trainer.roster.reshoot_choice import led_by, team_of, uuid_of
from trainer.roster.strike_reshoot import REASON_MAX, strike_reshoot


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: HttpRequest) -> HttpResponse:
    """The form of a reshoot."""
    led = led_by(request)
    if request.method != "POST":
        return _form(request, led)
    try:
        log.log_reshoot(
            _told(request, led), by=_visitor(request), key=key_of(request.POST.get("key")), now=timezone.now()
        )
    except (EntryError, KeyTaken) as error:
        return _form(request, led, str(error), 400)
    messages.success(request, "Kept. It is in the log.")
    return redirect("reshoots")


def _told(request: HttpRequest, led: QuerySet[Team]) -> log.Told:
    given = request.POST
    team = team_of(request, led)
    person = operators_of(led.filter(firm=team.firm)).filter(pk=uuid_of(given.get("who"))).first()
    if given.get("who") and person is None:
        raise EntryError("Choose one of your operators, or nobody.")
    try:
        shot_on = date.fromisoformat(given.get("shot_on", ""))
    except ValueError:
        raise EntryError("Give the day on which it was shot again.") from None
    return log.Told(
        team=team, person=person, shot_on=shot_on, cause=given.get("cause", ""),
        cost=log.cost_of(given.get("cost", "")),
        kit=log.kit_named(given.get("kit", ""), log.kits_by_words(_visitor(request))),
        place_type=log.place_of(given.get("place", "")), words=said(given.get("words", ""), most=log.WORDS_MAX),
    )  # fmt: skip


def _form(request: HttpRequest, led: QuerySet[Team], problem: str = "", status: int = 200) -> HttpResponse:
    posted: Mapping[str, str] = request.POST
    kinds: dict[str, list[Any]] = {"fault": [], "skill": [], "other": []}
    for cause in causes().values():
        kinds[cause.kind].append(cause)
    context = {
        "page": "reshoots", "teams": led, "problem": problem, "posted": posted, "today": timezone.now().date(),
        "key": posted.get("key") or uuid.uuid4(), "kinds": kinds, "kits": kits_for(request.user),
        "people": operators_of(led).order_by("name", "pk"), "places": log.PLACE_TYPES, "place_max": log.PLACE_MAX,
        "words_max": log.WORDS_MAX,
    }  # fmt: skip
    return render(request, "roster/reshoot_form.html", context, status=status)


@login_required
@require_POST
def strike(request: HttpRequest, reshoot_id: uuid.UUID) -> HttpResponse:
    """Take a reshoot back, with the reason."""
    reshoot: Reshoot = get_object_or_404(of_teams_led(Reshoot.objects.all(), request.user), pk=reshoot_id)
    typed = request.POST.get("reason", "")
    try:
        strike_reshoot(reshoot, by=_visitor(request), reason=typed, now=timezone.now())
    except EntryError as error:
        context = {
            "page": "reshoots", "what": f"the reshoot of {reshoot.shot_on:%-d %B %Y}", "problem": str(error),
            "typed": typed, "address": request.path, "back": reverse("reshoots"), "reason_max": REASON_MAX,
        }  # fmt: skip
        return render(request, "roster/strike.html", context, status=400)
    messages.success(request, "Taken back. It counts no more, and the log says why.")
    return redirect("reshoots")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def jobs(request: HttpRequest) -> HttpResponse:
    """How many jobs each team shot in a month."""
    led, problem = led_by(request), ""
    if request.method == "POST":
        typed = request.POST.get("jobs", "").strip()
        try:
            team = team_of(request, led)
            if not typed.isdecimal() or len(typed) > 9:
                raise EntryError(f"Give a number of jobs between 0 and {JOBS_MOST}.")
            month = month_of(request.POST.get("month", ""))
            count_jobs(team, month, int(typed), by=_visitor(request), now=timezone.now())
        except EntryError as error:
            problem = str(error)
        else:
            jobs = f"{int(typed)} job{'' if int(typed) == 1 else 's'}"
            messages.success(request, f"Kept: {jobs} of {team} in {month:%B %Y}.")
            return redirect("job_counts")
    names = {team.pk: team for team in led}
    counted = jobs_by_month(JobCount.objects.filter(team__in=led))
    rows = sorted(((month, names[team], count) for (team, month), count in counted.items()),  # type: ignore[index]
                  key=lambda row: (-row[0].toordinal(), row[1].name))  # fmt: skip
    context = {
        "page": "reshoots", "teams": led, "rows": rows[:120], "problem": problem, "posted": request.POST,
        "month": timezone.now().date(), "jobs_most": JOBS_MOST,
    }  # fmt: skip
    return render(request, "roster/job_counts.html", context, status=400 if problem else 200)


def _visitor(request: HttpRequest) -> Person:
    assert isinstance(request.user, Person)
    return request.user


urlpatterns = [
    path("reshoots/enter/", enter, name="reshoot_enter"),
    path("reshoots/<uuid:reshoot_id>/strike/", strike, name="reshoot_strike"),
    path("reshoots/jobs/", jobs, name="job_counts"),
]
