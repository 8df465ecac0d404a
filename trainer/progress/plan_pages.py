"""Pages of one's own plan: the plan itself, one more drill of it, and its days as a calendar file."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from trainer.drills.pages import start
from trainer.drills.reading import unanswered
from trainer.library.shelf import recipes
from trainer.people.models import Person
from trainer.people.offline import kept_offline
from trainer.progress.calendar_file import calendar_of
from trainer.progress.choice import Request, choose
from trainer.progress.known import known_of, wanted_logit
from trainer.progress.own_plan import OwnPlan, outcome_of, own_plan
from trainer.progress.pages import keep_up


@login_required
@require_safe
@kept_offline
def my_plan(request: HttpRequest, refresher_id: uuid.UUID) -> HttpResponse:
    """What is asked of oneself for a day. It says first: parked, engine off."""
    plan, now = _plan(request, refresher_id), timezone.now()
    context = {
        "page": "today", "plan": plan, "today": now.date(), "sitting": plan.today(now.date()),
        "open": unanswered(request.user).order_by("-issued_at").first(),
        "outcome": outcome_of(_visitor(request), now) if plan.next is None else None,
    }  # fmt: skip
    return render(request, "progress/my_plan.html", context)


@login_required
@require_POST
def plan_drill(request: HttpRequest, refresher_id: uuid.UUID) -> HttpResponse:
    """Open a drill on the skill that the plan goes on with, one that fits the person."""
    plan, now = _plan(request, refresher_id), timezone.now()
    wanted = next((one for one in plan.rows if one.skill == request.POST.get("skill")), None) or plan.next
    if wanted is None:
        raise Http404("The plan is done.")
    person = _visitor(request)
    known = known_of(person, now)
    asked = [Request("", wanted.skill, 1)]
    offers = [offer for offer in known.offers if wanted.skill in offer.skills]
    picks = choose(offers, known.states, asked=asked, weights=known.weights, seed=now.toordinal(), least=1, most=1)
    # Where no case on the skill is ready yet, one is asked for, and the page says to wait.
    names = [pick.recipe for pick in picks] or [one.name for one in recipes() if wanted.skill in one.skills]
    if not names:
        raise Http404(f"No drill practises {wanted.title}.")
    recipe = next(one for one in recipes() if one.name == names[0])
    return start(request, recipe.name, near_logit=wanted_logit(person, recipe, now))


@login_required
@require_safe
def plan_calendar(request: HttpRequest, refresher_id: uuid.UUID) -> HttpResponse:
    """The sittings of one's own plan as a calendar file."""
    plan = _plan(request, refresher_id)
    there = request.build_absolute_uri(request.path.removesuffix("plan.ics"))
    return HttpResponse(
        calendar_of(plan, there, timezone.now()),
        "text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="plan.ics"'},
    )


def _plan(request: HttpRequest, refresher_id: uuid.UUID) -> OwnPlan:
    keep_up()
    plan = own_plan(_visitor(request), refresher_id, timezone.now())
    if plan is None:
        raise Http404("Nothing is asked of this visitor there.")
    return plan


def _visitor(request: HttpRequest) -> Person:
    assert isinstance(request.user, Person)
    return request.user


urlpatterns = [
    path("my-plan/<uuid:refresher_id>/", my_plan, name="my_plan"),
    path("my-plan/<uuid:refresher_id>/drill/", plan_drill, name="plan_drill"),
    path("my-plan/<uuid:refresher_id>/plan.ics", plan_calendar, name="plan_calendar"),
]
